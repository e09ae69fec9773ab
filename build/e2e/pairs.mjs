// Two pictures side by side: two clips of different picture rates, locked at a frame,
// stepped together, marked, zoomed and mirrored each by itself, kept by a name, opened again,
// looked at as a page, written as a film.
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const clip = (name) => join(root, "testdata/clips", name);

async function work(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1366x768");
  // 75 frames at 25 a second, and 120 a second.
  await run(program, ["--library", library, "add", clip("a01_baseline.mp4"), clip("a12_120fps.mp4"), "--session", "2026-03-02"]);
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const shot = (name) => page.screenshot({ path: join(root, `build/bin/log/pairs-${name}.png`) });
  const press = (...keys) => keys.reduce((before, key) => before.then(() => page.keyboard.press(key)), Promise.resolve());
  const frame = (side, n) => page.locator(`[data-side="${side}"] output[data-frame="${n}"]`).waitFor();
  const pairs = () => ledger(library, "SELECT name, frame, other_frame, seen, other_seen, over FROM pair WHERE gone = 0 ORDER BY name");
  const times = (side) => page.locator(`section[aria-label="${side} picture"] [data-zoom]`).first().getAttribute("data-zoom");

  try {
    await page.locator("dialog input").fill("Kim");
    await press("Enter");
    await page.locator("article").filter({ hasText: "a01_baseline" }).click();
    await press("Enter");
    await page.locator('output[data-frame="0"]').waitFor();

    await report.check("one key puts the picture beside itself, and another clip in its place", async () => {
      await press("Alt+b");
      await frame(0, 0);
      await frame(1, 0);
      await press("F2");
      await page.locator('dialog [role="combobox"]').fill("a12");
      await press("Enter");
      await page.locator('[data-side="1"]').getByText("a12_120fps").waitFor();
    });

    await report.check("each goes by itself until both are locked", async () => {
      for (let i = 0; i < 6; i++) await press("Shift+ArrowRight");
      await frame(1, 60);
      await frame(0, 0);
      await press("ArrowUp", "Shift+ArrowRight");
      await frame(0, 10);
      await frame(1, 60);
      await press("Enter");
      await page.getByText("Locked: frame 10 at the left and 60 at the right").waitFor();
    });

    await report.check("locked, both step in real time at their own picture rates, and back", async () => {
      await press("ArrowRight");
      await frame(0, 11);
      await frame(1, 65); // 0.04 s are 4.8 pictures at 120 a second
      await press("ArrowRight");
      await frame(1, 70);
      await press("ArrowUp", "ArrowRight"); // now the right one has the keys
      await frame(1, 71);
      await frame(0, 12);
      for (let n = 0; n < 11; n++) await press("ArrowLeft");
      await frame(1, 60);
      await frame(0, 10);
    });

    await report.check("both play together, and stand at one moment after it", async () => {
      await press("Space");
      await until("both to have moved", async () => {
        const at = await Promise.all([0, 1].map((s) => page.locator(`[data-side="${s}"] output`).innerText()));
        return Number(at[0]) > 12 && Number(at[1]) > 75;
      });
      await press("Space");
      await until("one moment", async () => {
        const [l, r] = (await Promise.all([0, 1].map((s) => page.locator(`[data-side="${s}"] output`).innerText()))).map(Number);
        return Math.abs((l - 10) / 25 - (r - 60) / 120) <= 0.5 / 25 + 1e-6;
      });
      await press("Escape");
      await page.locator("[data-strokes]").waitFor();
    });

    await report.check("each has its own zoom and mirror, and a fault is marked where the keys are", async () => {
      await press("Home", "Alt+b");
      await frame(1, 0);
      await press("Control+j", "Control++", "Control++");
      await page.locator('[data-side="1"]').getByText("mirrored").waitFor();
      same(Number(await times("Right")) > 1.4, true, "the right one is larger");
      same(await page.locator('section[aria-label="Left picture"] [data-zoom]').count(), 0, "the left one whole");
      await press("Enter", "Shift+ArrowRight");
      await frame(0, 10);
      const key = (await ledger(library, "SELECT key FROM fault WHERE gone = 0 AND key <> '' ORDER BY code LIMIT 1"))[0].key;
      await press(key);
      await page.getByText(/Saved: \w+ at frame 10/).waitFor();
      await page.locator('[data-side="1"] .code').waitFor();
      await shot("beside");
    });

    await report.check("a pair is kept by its name, and opened again as it was", async () => {
      await press("Control+s");
      await page.locator("dialog input").fill("Wide and close");
      await press("Enter");
      await page.getByText("Saved: the pair").waitFor();
      const [kept] = await pairs();
      same(kept.name, "Wide and close", "its name");
      same([kept.frame, kept.other_frame].join(), "0,0", "the frames that were locked");
      const seen = JSON.parse(kept.other_seen);
      same(seen.mirror && seen.times > 1.4, true, "what is seen of the right one");
      await press("Escape");
      await page.locator("[data-strokes]").waitFor();
      await press("Alt+b", "F3");
      await page.locator("dialog").getByText("Wide and close").waitFor();
      await shot("list");
      await press("Enter");
      await page.locator('[data-locked="yes"]').waitFor();
      await page.locator('[data-side="1"]').getByText("mirrored").waitFor();
      same(Math.abs(Number(await times("Right")) - seen.times) < 0.01, true, "as large as it was");
    });

    await report.check("one lies over the other, with a slider", async () => {
      await press("Control+o");
      const slider = page.getByRole("slider");
      await slider.focus();
      for (let i = 0; i < 5; i++) await press("ArrowLeft");
      same(await slider.getAttribute("aria-valuenow"), "40", "how much is seen");
      await shot("over");
      await press("Control+o");
    });

    await report.check("both are on one page to be printed", async () => {
      await press("Control+p");
      await page.getByLabel("also where no consent").check();
      await page.getByRole("button", { name: "Page of these two frames" }).click();
      const sheet = page.frameLocator("iframe");
      await sheet.locator("img").nth(1).waitFor();
      same(await sheet.locator("img").count(), 2, "pictures on the page");
      same((await sheet.locator("h1").innerText()).includes("Wide and close"), false, "the name is not told unasked");
      await shot("page");
      await press("Escape");
    });

    await report.check("undo takes the pair away", async () => {
      await press("Control+z");
      await until("no pair", async () => (await pairs()).length === 0);
    });
    same(complaints, [], "what the page complains of");
  } finally {
    await shot("last");
    await close();
  }
}

await play("pairs", work);
