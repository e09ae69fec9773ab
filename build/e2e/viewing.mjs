// How a picture is looked at: the room that it has at 1366 × 768, and what comes back
// beside it when it is needed.
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4"); // 75 frames of 320 × 180, each showing its number

async function work(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1366x768");
  await run(program, ["--library", library, "add", clip, "--session", "2026-03-02"]);
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const list = page.getByRole("region", { name: "Marks of this clip" });
  const press = (...keys) => keys.reduce((before, key) => before.then(() => page.keyboard.press(key)), Promise.resolve());
  const onFrame = (n) => page.locator(`output[data-frame="${n}"]`).waitFor();
  /** Where the picture on show lies on the screen. */
  const shown = () => page.locator(".surface img:visible").boundingBox();
  /** Its share of the window. */
  const share = async () => {
    const box = await shown();
    return (box.width * box.height) / (1366 * 768);
  };

  try {
    await report.check("the picture has 60 % of a window of 1366 × 768", async () => {
      await page.locator("dialog input").fill("Kim");
      await press("Enter");
      await page.locator("article").first().click();
      await press("Enter");
      await onFrame(0);
      await until("60 %", async () => (await share()) >= 0.6);
    });

    await report.check("one key brings the lists back, and puts them away", async () => {
      await press("F10");
      await list.waitFor();
      await press("F10");
      await list.waitFor({ state: "detached" });
    });

    await report.check("walking through the entries brings the list, the next step puts it away", async () => {
      await press("ArrowRight", "ArrowRight");
      await onFrame(2);
      await press("Enter", "ArrowRight");
      await onFrame(3);
      await press("ArrowUp");
      await onFrame(2);
      await list.waitFor();
      if ((await share()) < 0.6) throw new Error("the list has taken the picture's place");
      await press("ArrowRight");
      await list.waitFor({ state: "detached" });
    });

    await report.check("over all of the screen the picture has the place of everything round it", async () => {
      const before = await share();
      await press("F11");
      await until("a larger picture", async () => (await share()) > 1.3 * before);
      same(await page.getByRole("navigation").count(), 0, "the list of screens");
      await press("F11");
      await until("the picture as before", async () => (await share()) === before);
    });

    same(complaints, [], "what the page complains of");
  } finally {
    await close();
  }
}

await play("viewing", work);
