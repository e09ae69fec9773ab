// Draws the pictures of the README from the invented club: the review screen at
// a mark, and the summary.
import { cpSync } from "node:fs";
import { join } from "node:path";
import { open, serve } from "./program.mjs";
import { play, root, run, sleep } from "./stage.mjs";

await play("screenshots", async (stage) => {
  const library = join(stage.dir, "library");
  cpSync(process.argv[2], library, { recursive: true });
  await stage.screen("1600x1000");
  const { page, close } = await open(await serve(stage, library));
  try {
    await page.locator("[data-clip]").first().click();
    await page.keyboard.press("F10"); // the lists
    await page.locator(".entry.mark .go").nth(2).click();
    await page.locator("output[data-frame]:not([data-frame='0']):not([data-frame='-1'])").waitFor();
    await sleep(1500); // thumbnails and the sound strip
    await shoot(page, "review.png");

    await page.keyboard.press("F7");
    await page.getByRole("group", { name: "Whose sheet" }).getByRole("button").nth(2).click();
    await page.getByRole("region", { name: "Work on next" }).waitFor();
    await sleep(500);
    await shoot(page, "summary.png");
  } finally {
    await close();
  }
});

async function shoot(page, name) {
  const file = join(root, "build", name);
  await page.mouse.move(0, 0);
  await page.screenshot({ path: file });
  await run("convert", [file, "-strip", "-colors", "255", `PNG8:${file}`]);
  console.log(`ok build/${name}`);
}
