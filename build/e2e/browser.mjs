// The main job in the page, on the real backend: add a clip, step through it,
// mark, undo, redo, log strokes, give a turn, read the summary. Only the file
// dialog, which belongs to the desktop, is answered in its place.
import { join } from "node:path";
import { find, load, number } from "./picture.mjs";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";
import { checkReaction } from "./reaction.mjs";
import { checkSummary } from "./summary.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4"); // 75 frames, each showing its number
const recorded = join(root, "testdata/clips/a43_recorded_at_utc.mp4");
const today = new Date().toLocaleDateString("sv"); // year-month-day; the ladder counts the tries of today
const roster = [{ id: "", name: "Mira Lindqvist", alias: "M. L.", hand: "right", group: "U13", note: "" }];

async function coach(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library));
  const frame = page.locator("output[data-frame]");
  const atFrame = (n) => until(`frame ${n}`, async () => (await frame.getAttribute("data-frame")) === String(n));
  const marks = page.locator("section[aria-label='Marks of this clip'] .entry.mark");
  const [fault] = await page.evaluate(async () => (await window.go.main.Catalogue.Get()).faults.filter((f) => f.key && !f.retired && f.sides === "both"));

  try {
    await report.check("a new library asks who is marking", async () => {
      const dialog = page.getByRole("dialog", { name: "Who is marking?" });
      await dialog.getByLabel("Your name").fill("Ruta Halvorsen");
      await dialog.getByRole("button", { name: "That is me" }).click();
      await dialog.waitFor({ state: "detached" });
      same(await ledger(library, live("coach", "name")), [{ name: "Ruta Halvorsen" }], "the ledger");
    });

    await report.check("a clip is added; Esc waits for it, and a label leaves its day alone", async () => {
      await page.evaluate((path) => {
        const { Sessions } = window.go.main;
        window.add = Sessions.Add;
        Sessions.Pick = async () => [path];
        Sessions.Add = (...what) => new Promise((done) => (window.letAdd = () => done(window.add(...what))));
      }, clip);
      await page.getByRole("button", { name: "Add clips…" }).click();
      await page.getByLabel("Day, as year-month-day").fill(today);
      await page.getByRole("button", { name: "Choose files…" }).click();
      await page.getByText("Training date").click();
      same(await page.getByLabel("Day, as year-month-day").inputValue(), today, "the day");
      await page.getByRole("button", { name: "Add 1 clip" }).click();
      const adding = page.getByRole("button", { name: "Adding…" });
      await adding.waitFor();
      for (let i = 0; i < 3; i++) await page.keyboard.press("Escape");
      await adding.waitFor(); // the browser may close it for a moment
      await page.evaluate(() => window.letAdd());
      await page.getByText("added", { exact: true }).waitFor();
      await page.getByRole("button", { name: "Done" }).click();
      await page.locator("[data-clip]").waitFor();
      same(await ledger(library, "SELECT name, frames FROM clip WHERE gone = 0"), [{ name: "a01_baseline.mp4", frames: 75 }], "the ledger");
    });

    await report.check("the day is that of the film, until the coach writes one; a long list scrolls by the keys of its answer", async () => {
      await page.evaluate((path) => {
        const { Sessions } = window.go.main;
        Sessions.Pick = async () => [path, ...Array.from({ length: 40 }, (_, i) => `/nowhere/clip ${i}.mp4`)];
        Sessions.Add = window.add;
      }, recorded);
      await page.getByRole("button", { name: "Add clips…" }).click();
      const dialog = page.getByRole("dialog");
      const day = page.getByLabel("Day, as year-month-day");
      const hint = dialog.getByText("The day on which 1 of the 41 films was recorded, by the camera’s clock; the others do not say.");
      const keys = () => page.evaluate(() => document.activeElement?.textContent?.trim());
      same(await day.inputValue(), today, "the day before a film is chosen");
      await dialog.getByRole("button", { name: "Choose files…" }).click();
      await hint.waitFor();
      same(await day.inputValue(), new Date("2024-05-29T22:30:24Z").toLocaleDateString("sv"), "the day");
      await until("Add has the keys", async () => (await keys()) === "Add 41 clips");
      await dialog.getByRole("button", { name: "One day earlier" }).click();
      await hint.waitFor({ state: "detached" });
      const scrolled = () => dialog.evaluate((d) => d.scrollTop);
      same(await scrolled(), 0, "how far the list is scrolled");
      await dialog.getByRole("button", { name: "Leave out" }).first().click();
      await dialog.getByRole("button", { name: "Add 40 clips" }).click();
      await page.getByRole("dialog", { name: "40 not added" }).waitFor();
      await until("Done has the keys", async () => (await keys()) === "Done");
      same(await scrolled(), 0, "how far the results are scrolled");
      const done = dialog.getByRole("button", { name: "Done" });
      const box = await done.boundingBox();
      for (const [key, there] of [["ArrowDown", (y) => y > 0], ["PageDown", (y) => y > 200], ["Home", (y) => y === 0]]) {
        await page.keyboard.press(key);
        // The browser may drop a key that comes while it is still scrolling, so the next one waits for its end.
        let last = -1;
        await until(`the results are scrolled by ${key}`, async () => {
          const before = last;
          last = await scrolled();
          return there(last) && last === before;
        });
      }
      same((await done.boundingBox()).y, box.y, "where Done is");
      await page.keyboard.press("Enter");
      await dialog.waitFor({ state: "detached" });
    });

    await report.check("each of 25 frames, forward by key, shows its own number", async () => {
      await page.locator("[data-clip]").click();
      await atFrame(0);
      same(await painted(page), 0, "the number painted");
      for (let n = 1; n <= 25; n++) {
        await page.keyboard.press("ArrowRight");
        await atFrame(n);
        same(await painted(page), n, "the number painted");
      }
    });

    await report.check("and on the screen, not only in the page", async () => {
      const file = join(stage.dir, "review.png");
      await page.screenshot({ path: file });
      const shot = await load(file);
      same(number(shot, find(shot, 16 / 9)), 25, "the number on the screen");
    });

    await report.check("back, by seconds, to the ends and to a number", async () => {
      for (const [keys, n] of [[["ArrowLeft"], 24], [["Home"], 0], [["PageDown"], 25], [["End"], 74], [["Shift+ArrowLeft"], 64], [["PageUp"], 39]]) {
        for (const k of keys) await page.keyboard.press(k);
        await atFrame(n);
        same(await painted(page), n, `the number painted after ${keys}`);
      }
      await page.keyboard.press("Control+g");
      await page.keyboard.type("25");
      await page.keyboard.press("Enter");
      await atFrame(25);
      same(await painted(page), 25, "the number painted");
    });

    await report.check("one key is one mark, at this frame", async () => {
      await page.keyboard.press("F10"); // the lists
      await page.keyboard.press(fault.key);
      await marks.waitFor();
      same(await marks.count(), 1, "the number of marks in the list");
      same(await ledger(library, live("mark", "frame")), [{ frame: 25 }], "the ledger");
    });

    await report.check("undo takes it back, redo brings it again", async () => {
      await page.keyboard.press("Control+z");
      await until("an empty list", async () => (await marks.count()) === 0);
      same(await ledger(library, live("mark", "frame")), [], "the ledger");
      await page.keyboard.press("Control+Shift+z");
      await until("the mark again", async () => (await marks.count()) === 1);
      same(await ledger(library, live("mark", "frame")), [{ frame: 25 }], "the ledger");
    });

    await report.check("captions and chapters of the clip are written from its title", async () => {
      await page.evaluate(() => (window.go.main.Documents.Captions = async (clip, chapters, names) => `/there/${clip ? "" : "no "}${chapters ? "chapters" : "captions"}${names ? " with names" : ""}.vtt`));
      await page.getByRole("button", { name: "Captions…" }).click();
      const dialog = page.getByRole("dialog");
      await dialog.getByRole("button", { name: "Marks as captions…" }).click();
      await dialog.getByText("Written: /there/captions.vtt").waitFor();
      await dialog.getByRole("checkbox").check();
      await dialog.getByRole("button", { name: "Turns as chapters…" }).click();
      await dialog.getByText("Written: /there/chapters with names.vtt").waitFor();
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
    });

    await report.check("F-keys work while a list has the keys", async () => {
      await page.getByLabel("Who is marking").focus();
      await page.keyboard.press("F8");
      await page.getByRole("heading", { name: "Club" }).waitFor();
      await page.keyboard.press("F6");
      await atFrame(25);
    });

    await report.check("a turn is given to a player and a drill", async () => {
      for (const p of roster) await page.evaluate((row) => window.go.main.Catalogue.SavePlayer(row), p);
      await page.reload();
      await page.locator("[data-clip]").click();
      await atFrame(0);
      await page.keyboard.press("[");
      await page.keyboard.press("End");
      await atFrame(74);
      await page.keyboard.press("]");
      const dialog = page.getByRole("dialog");
      const focus = () => page.evaluate(() => document.activeElement?.closest("label")?.querySelector(".name")?.textContent ?? "");
      same(await focus(), "Player", "the field that has the keys");
      await page.keyboard.type("lindqv\u00edst"); // whatever the accents
      await dialog.getByRole("listbox", { name: "Player" }).getByRole("option", { name: roster[0].name, selected: true }).waitFor();
      await page.keyboard.press("Tab");
      same(await focus(), "Drill", "the field that has the keys");
      await dialog.getByRole("listbox", { name: "Drill" }).getByRole("option").first().click();
      await page.getByRole("dialog").getByRole("button", { name: "Save" }).click();
      await page.getByRole("dialog").waitFor({ state: "detached" });
      same(await ledger(library, live("turn", "first, last")), [{ first: 0, last: 74 }], "the ledger");
    });

    await report.check("a new player by typing and Tab, and the drill typed next, are both kept", async () => {
      await page.getByRole("button", { name: roster[0].name }).first().click();
      const dialog = page.getByRole("dialog");
      await page.keyboard.type("Zoe Okafor");
      await page.keyboard.press("Tab");
      await page.keyboard.type("rally");
      same(await dialog.getByRole("combobox", { name: "Drill" }).inputValue(), "rally", "the drill that was typed");
      await dialog.getByText("new in the club").waitFor();
      await page.keyboard.press("Enter");
      await dialog.waitFor({ state: "detached" });
      same(await ledger(library, "SELECT p.name FROM turn t JOIN player p ON p.id = t.player_id WHERE t.gone = 0"), [{ name: "Zoe Okafor" }], "the ledger");
      for (let i = 0; i < 2; i++) await page.keyboard.press("Control+z");
      await until("the turn as it was", async () => (await ledger(library, "SELECT name FROM player WHERE gone = 0")).length === 1);
      same(await ledger(library, "SELECT p.name FROM turn t JOIN player p ON p.id = t.player_id WHERE t.gone = 0"), [{ name: roster[0].name }], "the ledger");
    });

    await report.check("strokes are logged, good and missed", async () => {
      await page.keyboard.press("Home");
      for (let i = 1; i <= 5; i++) {
        await page.keyboard.press("Shift+ArrowRight");
        await atFrame(10 * i);
        await page.keyboard.press(i === 5 ? "-" : "Enter");
        await until(`${i} strokes`, async () => (await page.locator("[data-stroke]").count()) === i);
      }
      same(await ledger(library, live("stroke", "frame, outcome")), [10, 20, 30, 40, 50].map((f) => ({ frame: f, outcome: f === 50 ? "missed" : "good" })), "the ledger");
    });

    await report.check("what nobody has looked at does not count; one key says that the turn is looked through", async () => {
      await page.keyboard.press("F7");
      await page.getByRole("button", { name: "turn", exact: false }).first().waitFor();
      same(await page.getByRole("button", { name: /of 5 strokes/ }).count(), 0, "rates before anybody has looked");
      await page.keyboard.press("F6");
      await frame.waitFor();
      await page.keyboard.press("=");
      await page.getByText("looked through by you").waitFor();
      const [look] = await ledger(library, live("look", "first, last, faults"));
      const inUse = await ledger(library, "SELECT count(*) AS n FROM fault WHERE gone = 0 AND retired = 0");
      same(JSON.parse(look.faults).length, inUse[0].n, "faults looked for");
    });

    await report.check("the summary says 1 of 5 strokes, and opens down to the frame", async () => {
      await page.keyboard.press("F7");
      // 20 % of 5 with its Wilson interval, 3.6 to 62.4 % (worked out from his formula).
      const rate = page.getByRole("button", { name: /1 of 5 strokes/ }).first();
      await rate.waitFor();
      const text = await page.locator("main").innerText();
      for (const wanted of [/20\s*%/, /no interval: too few turns/, /4 of 5/, new RegExp(fault.code)]) {
        if (!wanted.test(text)) throw new Error(`the summary does not say ${wanted}: ${text.slice(0, 2000)}`);
      }
      await rate.click();
      await page.getByRole("dialog").getByRole("button", { name: /frame 25/ }).click();
      await atFrame(25);
      same(await painted(page), 25, "the number painted");
    });

    await report.check("the command says the same", async () => {
      const { stdout } = await run(program, ["--library", library, "summary", "--format", "json", "--names"]);
      const [player] = JSON.parse(stdout).players;
      const line = player.all.faults.find((f) => f.code === fault.code);
      same([player.name, player.all.strokes, player.all.good, line.per_stroke.x, line.per_stroke.n], [roster[0].name, 5, 4, 1, 5], "the summary");
    });

    await checkSummary({ page, report, library, fault, player: roster[0].name, atFrame, painted });

    await checkReaction({ page, report, library });

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

function live(table, columns) {
  return `SELECT ${columns} FROM ${table} WHERE gone = 0 ORDER BY 1`;
}

/** The number that the pixels of the picture show. */
async function painted(page) {
  const { width, height, pixels } = await page.locator(".surface").evaluate((surface) => {
    const [image, ...more] = [...surface.children].filter((e) => getComputedStyle(e).display !== "none");
    if (!image || more.length > 0) throw new Error(`${more.length + 1} pictures are seen`);
    const canvas = document.createElement("canvas");
    const width = (canvas.width = image.naturalWidth);
    const height = (canvas.height = image.naturalHeight);
    const paper = canvas.getContext("2d");
    paper.drawImage(image, 0, 0);
    const data = paper.getImageData(0, 0, width, Math.ceil(height / 2)).data;
    return { width, height, pixels: btoa(Array.from(data, (v) => String.fromCharCode(v)).join("")) };
  });
  const rgba = Buffer.from(pixels, "base64");
  const at = (x, y) => [...rgba.subarray(4 * (Math.floor(y) * width + Math.floor(x))).subarray(0, 3)];
  return number({ at }, { x: 0, y: 0, width, height });
}

await play("browser", coach);
