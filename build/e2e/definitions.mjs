// What each fault means: written, changed with the question what older marks mean, and
// pictures of what it is and is not taken from marks by one key, in Review and in a pass.
import { writeFile } from "node:fs/promises";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

/** The record of the commands' own test: a turn of three strokes, with what one coach marked. */
function record() {
  const script = readFileSync(join(root, "app/testdata/script/definitions.txtar"), "utf8");
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
  const listed = async () => JSON.parse((await run(program, ["--library", library, "definitions", "--fault", "ELBOW", "--json"])).stdout)[0];
  const tab = (name) => page.getByRole("group", { name: "What to show" }).getByRole("button", { name }).click();

  try {
    await report.check("a definition is written; what older marks mean is asked first", async () => {
      await page.keyboard.press("F12");
      await tab("Definitions");
      await page.getByRole("button", { name: /^ELBOW/ }).click();
      await page.getByLabel("What counts").fill("The elbow leaves the trunk before the racket goes forward.");
      await page.getByLabel("What does not").fill("A high ball, where it has to.");
      await page.getByRole("button", { name: "Save" }).click();
      const dialog = page.getByRole("dialog", { name: "Do older marks still mean the same?" });
      await dialog.waitFor();
      same((await listed()).history.length, 0, "definitions before the answer");
      await shot("definitions-older");
      await dialog.getByRole("button", { name: "Cannot say" }).click();
      await page.getByText("Nobody can say whether older marks mean the same.").waitFor();
      same((await listed()).history.map((h) => h.older), ["unknown"], "what was said of older marks");
    });

    await report.check("one key in Review takes the picture of a mark", async () => {
      await page.keyboard.press("F5");
      await page.locator("[data-clip]").click();
      await page.keyboard.press("F10"); // the lists
      await page.locator("button.go").filter({ hasText: "ELBOW" }).click();
      await page.keyboard.press("Alt+i");
      await until("a picture of what it is", async () => (await listed()).models.filter((m) => m.is && m.frame === 25).length === 1);
      await page.keyboard.press("ArrowRight");
      await page.keyboard.press("Alt+n");
      await until("a picture of what it is not", async () => (await listed()).models.filter((m) => !m.is && m.frame === 26).length === 1);
      await page.keyboard.press("Alt+n");
      await until("the same key takes it back", async () => (await listed()).models.length === 1);
      await page.keyboard.press("Control+z");
      await until("undo brings it back", async () => (await listed()).models.length === 2);
    });

    await report.check("the pictures stand beside the definition", async () => {
      await page.keyboard.press("F12");
      await until("two pictures are shown", async () => page.evaluate(() => [...document.querySelectorAll("figure img")].filter((i) => i.complete && i.naturalWidth > 0).length === 2));
      await shot("definitions");
      await page.getByRole("button", { name: "Take away" }).first().click();
      await page.getByText("No picture yet.").waitFor();
      await page.keyboard.press("Control+z");
      await until("undo brings it back", async () => (await page.locator("figure img").count()) === 2);
    });

    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("definitions", work);
