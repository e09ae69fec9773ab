// One club, two coaches, each with a library of its own in a folder of its own: what the
// first entered goes to the second by a file, the second looks again without seeing it, how
// far they agree is read, what they differ on is settled, and both bring it together again,
// until both libraries hold the same. Files are chosen in the desktop's own dialogs.
import { copyFileSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { chooseFile, ledger, open, program, started } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const film = join(root, "testdata/clips/a01_baseline.mp4"); // 75 pictures, 25 a second
const TICKS = 512; // a picture
const strokes = [10, 22, 34, 46, 58, 70]; // their pictures

/** What the first coach entered: a turn of six strokes, three of them with a fault. */
function record() {
  const script = readFileSync(join(root, "app/testdata/script/agreement.txtar"), "utf8");
  const begin = script.indexOf("-- record.json --\n") + "-- record.json --\n".length;
  const r = JSON.parse(script.slice(begin));
  const at = (frame) => ({ clip_id: "k1", frame, ticks: frame * TICKS, source: "hand", confidence: 1, coach_id: "c1" });
  Object.assign(Object.values(r).find((v) => "tries_cap" in Object(v)), { tries_cap: 5, irregular: 0.5 }); // goals as a new library has them
  r.catalogue.coaches = [{ id: "c1", name: "Bea Holm" }];
  r.strokes = strokes.map((frame, i) => ({ id: `s${i + 1}`, outcome: i === 0 ? "missed" : "good", ...at(frame) }));
  r.marks = [
    [10, "f1"],
    [22, "f2"],
    [34, "f1"],
  ].map(([frame, fault_id], i) => ({ id: `m${i + 1}`, fault_id, made: "2026-03-14T18:00:00Z", ...at(frame) }));
  return r;
}

/** A coach's laptop: a folder with the film, and a library. */
async function laptop(stage, name) {
  const dir = join(stage.dir, name);
  mkdirSync(dir);
  const library = join(dir, "library");
  if (name === "bea") {
    const file = join(dir, "begun.json");
    writeFileSync(file, JSON.stringify(record()));
    await run(program, ["--library", library, "add-record", file]);
  }
  copyFileSync(film, join(dir, "noon.mp4"));
  await run(program, ["--library", library, "add", join(dir, "noon.mp4"), "--session", "2026-03-14"]);
  return library;
}

/** Opens a laptop's program and does something in it; the browser is closed and the program ended after it. */
async function at(stage, name, library, act) {
  const { address, end } = await started(stage, library, name);
  const { page, complaints, close } = await open(address, { width: 1366, height: 768 });
  const shot = async (what) => process.env.SHOTS && (await page.screenshot({ path: join(process.env.SHOTS, `two-${what}.png`) }));
  try {
    await act(page, shot);
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
    await end();
  }
}

async function libraryPanel(page) {
  await page.keyboard.press("F8");
  await page.getByRole("button", { name: "Library", exact: true }).click();
}

async function handOver(stage, page, file, shot) {
  await libraryPanel(page);
  await page.getByRole("button", { name: "Hand work over…" }).click();
  await page.getByRole("dialog", { name: "Hand work over" }).getByRole("button", { name: "Choose the file…" }).click();
  await chooseFile(stage, "Hand work over", file);
  await page.getByText(`Written to ${file}`).first().waitFor();
  await shot?.("handed-over");
}

/** Takes a file in; `decide` answers what the dialog asks. */
async function takeIn(stage, page, file, decide) {
  await libraryPanel(page);
  await page.getByRole("button", { name: "Take work in…" }).click();
  await chooseFile(stage, "Work of another library", file);
  const dialog = page.getByRole("dialog", { name: "Take work in" });
  await dialog.getByText("What comes in, and what changes").waitFor();
  await decide?.(dialog);
  await dialog.getByRole("button", { name: "Take it in" }).click();
  await page.getByText("Taken in. One undo takes all of it back.").waitFor();
}

/** What is there in a library, by its record: a line a value. When it was written and changed, where films lie, and what was given up for something else differs. */
async function holds(library) {
  const file = join(library, "../compare.json");
  await run(program, ["--library", library, "record", file, "--names"]);
  const lines = [];
  const list = (at, v) => {
    if (v === null || typeof v !== "object") lines.push(`${at} = ${JSON.stringify(v)}`);
    else for (const [k, one] of Object.entries(v)) list(`${at}.${one?.id ?? k}`, one);
  };
  const { origin, until, changed, removed, same: pairs, ...r } = JSON.parse(readFileSync(file, "utf8"));
  same([origin, until, changed, removed, pairs].every(Boolean), true, "that the record has all that is left out here");
  list("", { ...r, clips: r.clips.map((c) => ({ ...c, path: "" })) });
  return lines.sort();
}

/** Checks that two libraries hold the same; says where they do not. */
function equal(a, b) {
  const [left, right] = [new Set(a), new Set(b)];
  same([...a.filter((l) => !right.has(l)).map((l) => `- ${l}`), ...b.filter((l) => !left.has(l)).map((l) => `+ ${l}`)], [], "what differs");
}

async function work(stage, report) {
  await stage.screen("1366x768");
  await stage.managed();
  const [bea, jo] = [await laptop(stage, "bea"), await laptop(stage, "jo")];
  const [forth, back, again] = ["forth", "back", "again"].map((n) => join(stage.dir, `${n}.json`));
  await report.check("the first coach hands all work over", () =>
    at(stage, "bea", bea, (page, shot) => handOver(stage, page, forth, shot)),
  );

  await report.check("the second takes it in, and looks again without seeing it", () =>
    at(stage, "jo", jo, async (page, shot) => {
      const naming = page.getByRole("dialog", { name: "Who is marking?" });
      await naming.getByLabel("Your name").fill("Jo Lind");
      await naming.getByRole("button", { name: "That is me" }).click();
      await naming.waitFor({ state: "detached" });
      await takeIn(stage, page, forth, async (dialog) => {
        await shot("questions");
        for (const fault of [/the fault \W?LATE/, /the fault \W?ELBOW/])
          await dialog.locator("fieldset").filter({ hasText: fault }).getByRole("radio", { name: "One fault for both" }).check();
        await shot("answered");
      });
      await page.keyboard.press("F12");
      await page.getByLabel("Who looks now").selectOption({ label: "Jo Lind" });
      await page.getByLabel("Whose turns").selectOption({ label: "Bea Holm" });
      await page.getByText("1 turn, 6 strokes").waitFor();
      await page.getByRole("button", { name: "Begin the second look" }).click();
      await page.locator("[data-pass=t1]").waitFor();
      await shot("blind");
      await page.keyboard.press("Escape");
      const [{ id: clip }] = await ledger(jo, "SELECT id FROM clip WHERE gone = 0"); // one: both have the film
      same(await page.evaluate(async (clip) => (await window.go.main.Bench.Ledger(clip)).marks, clip), [], "marks that show");
      await page.evaluate(async (clip) => {
        const { Bench, Catalogue, Pass } = window.go.main;
        const late = (await Catalogue.Get()).faults.find((f) => f.code === "LATE").id;
        for (const s of (await Bench.Ledger(clip)).strokes) if (["s1", "s4", "s5"].includes(s.id)) await Pass.Mark(s.id, late, s.frame + 2);
        await Pass.Looked("t1", []);
      }, clip);
      await page.keyboard.press("F5");
      await page.keyboard.press("F12");
      await page.getByText("1 of 1 turn looked through").waitFor();
      await page.getByRole("button", { name: "Finish…" }).click();
      await page.getByRole("dialog").getByRole("button", { name: "Finish it" }).click();
      await page.getByText("Of 5 faults that either saw, both saw 1; only Bea Holm saw 2, only Jo Lind 2.").first().waitFor();
      await page.getByText("Kappa over all faults is 0.11.").waitFor(); // 8 of 12 the same, 0.625 by chance
      await shot("agreement");

      await page.getByRole("button", { name: "Settle 4 strokes" }).click();
      const here = page.locator("[data-stroke]");
      const keys = { s2: "2", s3: "5", s4: "3" };
      for (let n = 0; n < 3;) {
        const stroke = await here.getAttribute("data-stroke");
        await page.keyboard.press(keys[stroke] ?? "ArrowDown");
        if (keys[stroke] === "5")
          await page
            .getByRole("dialog", { name: "Which fault was it?" })
            .getByRole("button", { name: /^REACH/ })
            .click();
        if (keys[stroke]) await page.getByText(`${++n} settled`).waitFor();
        await until("the next stroke", async () => (await here.getAttribute("data-stroke")) !== stroke);
      }
      await shot("settled");
      await handOver(stage, page, back, shot);
    }),
  );

  await report.check("the first takes it back, adds to it, and hands over what is new", () =>
    at(stage, "bea", bea, async (page, shot) => {
      await takeIn(stage, page, back);
      await shot("back");
      await page.keyboard.press("F12");
      await page.getByRole("button", { name: "How far you agree" }).click();
      await page.getByText("Of 5 faults that either saw, both saw 1; only Bea Holm saw 2, only Jo Lind 2.").first().waitFor();
      await page.getByRole("button", { name: "Settle 1 stroke" }).click();
      await page.keyboard.press("4");
      await page.getByText("4 settled").waitFor();
      await handOver(stage, page, again);
    }),
  );

  await report.check("both libraries hold the same, to the bit", async () => {
    const { stdout } = await run(program, ["--library", jo, "merge", again, "--yes"]);
    same(/^Taken in, as one step/m.test(stdout), true, "that it was taken in");
    equal(await holds(jo), await holds(bea));
    const tables = await Promise.all([bea, jo].map((l) => run(program, ["--library", l, "summary", "--format", "csv"])));
    const [hers, his] = tables.map((t) => t.stdout.replaceAll(/change \d+/g, "change")); // each library counts its own
    same(his, hers, "the second library's summary"); // their records hold it with every digit
    for (const library of [bea, jo]) await run(program, ["--library", library, "check"]);
  });
}

await play("twocoaches", work);
