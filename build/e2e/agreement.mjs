// One club, two coaches: a second look that hides what was marked, agreement read, and
// what differs settled by one key each; the rate follows and undo brings it back.
import { writeFile } from "node:fs/promises";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

/** The record of the commands' own test: a turn of three strokes, with what one coach marked. */
function record() {
  const script = readFileSync(join(root, "app/testdata/script/agreement.txtar"), "utf8");
  return script.slice(script.indexOf("-- record.json --\n") + "-- record.json --\n".length);
}

async function work(stage, report) {
  const library = join(stage.dir, "library");
  const file = join(stage.dir, "record.json");
  await writeFile(file, record());
  await run(program, ["--library", library, "add-record", file]);
  await run(program, ["--library", library, "add", join(root, "testdata/clips/a01_baseline.mp4"), "--session", "2026-03-14"]);
  await stage.screen("1366x768");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const shot = (name) => (process.env.SHOTS ? page.screenshot({ path: join(process.env.SHOTS, `${name}.png`) }) : Promise.resolve());
  const marks = () => page.evaluate(async () => (await window.go.main.Bench.Ledger("k1")).marks.map((m) => m.id));
  const tab = (name) => page.getByRole("group", { name: "What to show" }).getByRole("button", { name }).click();

  try {
    await report.check("the clip's card says who has looked through its turns", async () => {
      await page.getByText("Looked through: Bea Holm").waitFor();
    });

    await report.check("a second look begins, and hides what the first coach marked", async () => {
      await page.keyboard.press("F12");
      await page.getByRole("heading", { name: "Agreement" }).waitFor();
      await page.getByLabel("Who looks now").selectOption({ label: "Jo Lind" });
      await page.getByLabel("Whose turns").selectOption({ label: "Bea Holm" });
      await page.getByText("1 turn, 3 strokes").waitFor();
      await shot("second-look");
      await page.getByRole("button", { name: "Begin the second look" }).click();
      await page.locator("[data-pass=t1]").waitFor();
      same(await marks(), [], "marks that show");
      same(await page.evaluate(async () => (await window.go.main.Bench.Ledger("k1")).strokes.map((s) => s.outcome)), ["good", "good", "good"], "outcomes that show");
    });

    await report.check("a pass marks and looks through; the turn is done", async () => {
      await page.keyboard.press("Escape");
      await page.evaluate(async () => {
        const { Pass } = window.go.main;
        await Pass.Mark("s1", "f1", 10);
        await Pass.Mark("s3", "f1", 40);
        await Pass.Looked("t1", []);
      });
      await page.keyboard.press("F5");
      await page.keyboard.press("F12");
      await page.getByText("1 of 1 turn looked through").waitFor();
      await page.getByText("what was marked before is hidden").waitFor();
      await shot("second-look-on");
    });

    await report.check("finished, both looks are there and agreement is read", async () => {
      await page.getByRole("button", { name: "Finish…" }).click();
      await page.getByRole("dialog").getByRole("button", { name: "Finish it" }).click();
      await page.getByText("Of 3 faults that either saw, both saw 1; only Bea Holm saw 1, only Jo Lind 1.").first().waitFor();
      same((await marks()).length, 4, "marks");
      await shot("agreement");
    });

    await report.check("what differs is settled by one key each, the most costly first", async () => {
      await tab(/^Settle/);
      await page.locator("[data-stroke=s3]").waitFor();
      await until("the stroke is shown over and over", async () => (await page.locator(".loop img").count()) === 1);
      await shot("settle");
      await page.keyboard.press("4");
      await page.locator("[data-stroke=s2]").waitFor();
      await page.keyboard.press("5");
      await page.getByRole("dialog", { name: "Which fault was it?" }).getByRole("button", { name: /LATE/ }).click();
      await page.getByText("2 settled").waitFor();
    });

    await report.check("rates count it, the agreement stays, and undo takes it back", async () => {
      const summary = async () => (await run(program, ["--library", library, "summary", "--format", "csv", "--table", "marks"])).stdout;
      same((await summary()).includes(",40,"), false, "the mark that was settled away counts");
      await tab("How far you agree");
      await page.getByText("Of 3 faults that either saw, both saw 1").first().waitFor();
      await page.keyboard.press("Control+z");
      await page.keyboard.press("Control+z");
      await until("it counts again", async () => (await summary()).includes(",40,"));
    });
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("agreement", work);
