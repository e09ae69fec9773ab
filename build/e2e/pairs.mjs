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
      await press("Control+ArrowDown", "Control+ArrowDown"); // slowly: a busy machine looks late, and the clips are short
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
      await press("Control+ArrowUp", "Control+ArrowUp");
      // Back to the picture that has the keys, at its frame.
      await press("ArrowUp");
      const left = await page.locator('[data-side="0"] output').innerText();
      await press("Escape");
      await page.locator("[data-strokes]").waitFor();
      await page.locator(`output[data-frame="${left}"]`).waitFor();
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

    await report.check("all that can be drawn is drawn on either picture, by mouse and by keys", async () => {
      const panel = page.getByRole("region", { name: "Draw" });
      const side = (name) => page.locator(`section[aria-label="${name} picture"]`);
      const rows = () => ledger(library, "SELECT d.id, d.kind, d.places, d.frame, d.mark_id, c.name FROM drawing d JOIN clip c ON c.id = d.clip_id WHERE d.gone = 0 ORDER BY d.id");
      const kept = (count) => until(`${count} drawings`, async () => {
        const all = await rows();
        return all.length === count && all.map((r) => ({ ...r, places: JSON.parse(r.places) }));
      });
      /** A place of the screen at parts of the left picture, which is whole. */
      const at = async (x, y) => {
        const box = await side("Left").locator(".surface img:visible").boundingBox();
        return [box.x + x * box.width, box.y + y * box.height];
      };
      const drag = async (from, ...to) => {
        await page.mouse.move(...(await at(...from)));
        await page.mouse.down();
        for (const p of to) await page.mouse.move(...(await at(...p)), { steps: 4 });
        await page.mouse.up();
      };
      const near = (got, want, what) => {
        if (Math.hypot(got.x - want[0], got.y - want[1]) > 0.01) throw new Error(`${what} is at ${got.x}, ${got.y}, not at ${want}`);
      };
      // On the right one, where the keys are: with the mark made here, in a mirrored picture.
      await page.getByRole("button", { name: /^Draw for/ }).click();
      await panel.waitFor();
      await press("3", "Enter");
      const [circle] = await kept(1);
      same(circle.kind, "circle", "what a key puts");
      same(circle.frame, 10, "its frame");
      same(circle.mark_id !== "", true, "it goes with the mark");
      await side("Right").locator('[data-grip="0"]:focus').waitFor();
      await press("Shift+ArrowRight");
      await until("it has moved", async () => (await rows())[0].places !== JSON.stringify(circle.places));
      same(JSON.parse((await rows())[0].places)[0].x < circle.places[0].x, true, "to the right on the screen is to the left in the file of a mirrored picture");
      await page.locator("[data-drawing]:focus, [data-grip]:focus").evaluate((e) => e.blur());
      // On the left one: the first drag there is drawn there.
      await press("1");
      await drag([0.2, 0.6], [0.4, 0.6]);
      const line = (await kept(2))[1];
      same([line.kind, line.name, line.frame, line.mark_id].join(), `line,${(await page.locator('[data-side="0"] strong').innerText()).replace(/[^\x20-\x7e]/g, "")},10,`, "the line");
      near(line.places[0], [0.2, 0.6], "its beginning");
      await press("2");
      await drag([0.1, 0.8], [0.3, 0.7]);
      await kept(3);
      await press("4");
      await drag([0.75, 0.5], [0.75, 0.7]);
      await page.mouse.click(...(await at(0.85, 0.5)));
      await kept(4);
      await side("Left").locator("svg text", { hasText: "90° in the picture" }).waitFor();
      await press("5");
      await drag([0.55, 0.85], [0.6, 0.9], [0.7, 0.85]);
      await kept(5);
      await press("6");
      await page.mouse.click(...(await at(0.7, 0.3)));
      await page.locator("dialog input").fill("nearer");
      await press("Enter");
      await kept(6);
      await shot("drawn");
      // What is begun on one picture does not go on on the other.
      await press("4");
      await drag([0.3, 0.3], [0.3, 0.4]);
      await press("ArrowUp", "1", "Enter");
      same((await kept(7))[6].places.length, 2, "a line put on the right picture");
      await side("Right").locator('[data-grip="0"]:focus').waitFor();
      await press("Delete");
      await page.getByText("The line is wiped off").waitFor();
      await kept(6);
      await press("Escape"); // nothing is selected
      await panel.waitFor({ state: "detached" });
      // They belong to the clip, and go where its pictures go.
      await until("all of it still shown", async () => (await page.locator("[data-drawing]").count()) === 12); // both are of one clip
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

    await report.check("both are on one page to be printed, with what is drawn on them", async () => {
      await press("Shift+ArrowRight");
      await frame(0, 10);
      await press("Control+p");
      await page.getByLabel("also where no consent").check();
      await page.getByRole("button", { name: "Page of these two frames" }).click();
      const sheet = page.frameLocator("iframe");
      await sheet.locator("img").nth(1).waitFor();
      same(await sheet.locator("img").count(), 2, "pictures on the page");
      same(await sheet.locator("figure svg").count(), 2, "drawings over them");
      same((await sheet.locator("svg text").allTextContents()).join(), "90° in the picture,90° in the picture", "no words that were written, unasked");
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
