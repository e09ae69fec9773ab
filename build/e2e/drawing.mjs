// Drawing on pictures: by mouse and by keys, on the frames that are wished, in a picture
// that is mirrored and rotated, with a mark; and what of it pages and films show.
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4"); // 75 frames of 320 × 180, each showing its number

async function work(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1366x768");
  await run(program, ["--library", library, "add", clip, "--session", "2026-03-02"]);
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const press = (...keys) => keys.reduce((before, key) => before.then(() => page.keyboard.press(key)), Promise.resolve());
  const onFrame = (n) => page.locator(`output[data-frame="${n}"]`).waitFor();
  const panel = page.getByRole("region", { name: "Draw" });
  const shown = page.locator("[data-drawing]");
  const rows = () => ledger(library, "SELECT id, kind, places, text, frame, first, last, mark_id FROM drawing WHERE gone = 0 ORDER BY id");
  const kept = (count) => until(`${count} drawings`, async () => {
    const all = await rows();
    return all.length === count && all.map((r) => ({ ...r, places: JSON.parse(r.places) }));
  });
  /** A place of the screen at parts of the picture as it is shown. */
  const at = async (x, y) => {
    const box = await until("a picture", () => page.locator(".surface img:visible").boundingBox());
    return [box.x + x * box.width, box.y + y * box.height];
  };
  const drag = async (...places) => {
    await page.mouse.move(...(await at(...places[0])));
    await page.mouse.down();
    for (const p of places.slice(1)) await page.mouse.move(...(await at(...p)), { steps: 4 });
    await page.mouse.up();
  };
  const near = (got, want, what) => {
    if (Math.hypot(got.x - want[0], got.y - want[1]) > 0.01) throw new Error(`${what} is at ${got.x}, ${got.y}, not at ${want}`);
  };
  const look = async (name) => process.env.STROKELEDGER_SHOTS && page.screenshot({ path: join(process.env.STROKELEDGER_SHOTS, `drawing-${name}.png`) });

  try {
    await report.check("a key opens the panel, and a drag is an arrow that is selected", async () => {
      await page.locator("dialog input").fill("Kim");
      await press("Enter");
      await page.locator("article").first().click();
      await press("Enter");
      await onFrame(0);
      await press("Shift+ArrowRight");
      await onFrame(10);
      await press("Control+d");
      await panel.waitFor();
      await drag([0.2, 0.8], [0.4, 0.6]);
      const [arrow] = await kept(1);
      same([arrow.kind, arrow.frame, arrow.first, arrow.last, arrow.mark_id], ["arrow", 10, 10, 10, ""], "the arrow");
      near(arrow.places[0], [0.2, 0.8], "its end");
      near(arrow.places[1], [0.4, 0.6], "its tip");
      await panel.getByText("Arrow on frames").waitFor();
    });

    await report.check("each kind is drawn by the mouse, an angle says its degrees in the picture", async () => {
      await press("1");
      await drag([0.1, 0.4], [0.3, 0.4]);
      await kept(2);
      await press("3");
      await drag([0.8, 0.5], [0.85, 0.5]);
      await kept(3);
      await press("4");
      await drag([0.5, 0.5], [0.5, 0.7]); // from the joint along one limb
      await page.mouse.click(...(await at(0.6, 0.5))); // the end of the other
      await kept(4);
      await page.locator("svg text", { hasText: "90° in the picture" }).waitFor();
      await press("5");
      await drag([0.1, 0.9], [0.2, 0.85], [0.3, 0.92]);
      const free = (await kept(5))[4];
      if (free.places.length < 5) throw new Error(`a hand's way of ${free.places.length} places`);
      await press("6");
      await page.mouse.click(...(await at(0.7, 0.25)));
      await page.locator("dialog input").fill("feet wider");
      await press("Enter");
      same((await kept(6))[5].text, "feet wider", "the text");
      await page.locator("svg text", { hasText: "feet wider" }).waitFor();
      await look("kinds");
    });

    await report.check("a drawing is moved, one place of it too, and wiped off; undo brings it back", async () => {
      const text = (await kept(6))[5];
      const [x, y] = [text.places[0].x, text.places[0].y];
      await drag([x, y], [x - 0.1, y + 0.1]);
      await until("it has moved", async () => Math.abs((await kept(6))[5].places[0].x - (x - 0.1)) < 0.01);
      await drag([0.2, 0.4], [0.2, 0.45]); // the line
      await page.locator('[data-grip="1"]').waitFor();
      await drag([0.3, 0.45], [0.35, 0.35]); // its second place
      await until("the place has moved", async () => Math.abs((await kept(6))[1].places[1].y - 0.35) < 0.01);
      near((await kept(6))[1].places[0], [0.1, 0.45], "its first place");
      await press("Delete");
      await kept(5);
      await press("Control+z");
      await kept(6);
      await until("all of it shown", async () => (await shown.count()) === 6);
    });

    await report.check("it is shown from a frame on and up to another, by keys and by numbers", async () => {
      const grip = page.locator(`[data-drawing="${(await kept(6))[3].id}"]`); // the angle
      await page.mouse.click(...(await at(0.5, 0.65)));
      await panel.getByText("Angle on frames").waitFor();
      await press("ArrowLeft", "ArrowLeft");
      await onFrame(8);
      await press("[");
      await until("the first frame", async () => (await kept(6))[3].first === 8);
      await panel.getByRole("spinbutton", { name: "Last frame" }).fill("14");
      await press("Enter");
      await until("the last frame", async () => (await kept(6))[3].last === 14);
      await press("Escape", "Escape");
      await panel.waitFor({ state: "detached" });
      await onFrame(8);
      await until("one drawing on frame 8", async () => (await shown.count()) === 1);
      await press("ArrowLeft");
      await onFrame(7);
      await until("none on frame 7", async () => (await shown.count()) === 0);
      await press("ArrowRight", "ArrowRight", "ArrowRight");
      await onFrame(10);
      await until("all on frame 10", async () => (await shown.count()) === 6 && (await grip.count()) === 1);
    });

    await report.check("without a mouse: put by a key, moved by arrows, frames and a hand's way", async () => {
      await press("End");
      await onFrame(74);
      await press("Control+d", "2", "Enter");
      const put = (await kept(7))[6];
      await page.locator('[data-grip="0"]:focus').waitFor();
      await press("Shift+ArrowRight", "Shift+ArrowRight");
      await until("its end has moved", async () => (await kept(7))[6].places[0].x > put.places[0].x + 0.04);
      near((await kept(7))[6].places[1], [put.places[1].x, put.places[1].y], "its tip");
      await press("Escape", "Delete");
      await kept(6);
      await press("5", "Enter");
      await kept(7);
      await page.locator('[data-grip="1"]:focus').waitFor();
      await press("Enter");
      await page.locator('[data-grip="2"]:focus').waitFor();
      await press("ArrowUp");
      await until("a third place", async () => (await kept(7))[6].places.length === 3);
      await press("Delete");
      await kept(6);
      await page.locator("[data-grip]").first().waitFor({ state: "detached" }); // nothing is selected
      await press("Escape");
      await panel.waitFor({ state: "detached" });
    });

    await report.check("mirrored and rotated it stays where it was drawn, and its text can be read", async () => {
      await press("Home");
      await press("Shift+ArrowRight");
      await onFrame(10);
      await press("Control+j");
      await page.getByText("Saved: the clip is shown so").waitFor();
      const text = page.locator("svg text", { hasText: "feet wider" });
      const box = await text.boundingBox();
      const [x] = await at(1 - (await kept(6))[5].places[0].x, 0);
      if (Math.abs(box.x + box.width / 2 - x) > 4) throw new Error("the text is not where the mirrored picture has its place");
      same(await text.evaluate((e) => e.getCTM().a > 0 && e.getCTM().d > 0), true, "the text reads from left to right");
      await look("mirrored");
      await press("Control+.");
      await until("a high picture", async () => {
        const b = await page.locator(".surface img:visible").boundingBox();
        return b && b.height > b.width;
      });
      await press("Control+d", "1");
      await drag([0.3, 0.55], [0.3, 0.95]);
      const line = (await kept(7))[6];
      // Mirrored, then rotated clockwise: down in what is shown is across in the file, from its right.
      near(line.places[0], [0.45, 0.7], "its first place");
      near(line.places[1], [0.05, 0.7], "its second place");
      await look("rotated");
      await press("Escape", "Escape", "Control+z");
      await kept(6);
      await press("Control+z", "Control+z");
      await until("the clip as it was filmed", async () => (await ledger(library, "SELECT 1 FROM adjustment WHERE gone = 0")).length === 0);
      await until("its picture", async () => {
        const [b, t] = [await page.locator(".surface img:visible").boundingBox(), await text.boundingBox()];
        return b && t && b.width > b.height && Math.abs(t.x + t.width / 2 - b.x - (await kept(6))[5].places[0].x * b.width) < 4;
      });
    });

    await report.check("it is seen while the clip plays, on its frames, and the clip stands on a frame with drawings of its own", async () => {
      await press("Home");
      await onFrame(0); // it may have been on frame 10, which is timed below
      await press("Control+ArrowDown", "Control+ArrowDown");
      const seen = new Set();
      // How long the page shows frame 10, which has drawings of its own, seconds.
      const stood = page.evaluate(() => new Promise((done) => {
        let from = 0;
        const look = () => {
          const here = document.querySelector('output[data-frame="10"]') !== null;
          if (here && from === 0) from = performance.now();
          if (from > 0 && !here) done((performance.now() - from) / 1000);
          else requestAnimationFrame(look);
        };
        look();
      }));
      await press("Space");
      await until("the end of the angle's frames", async () => {
        const [frame, count] = await page.evaluate(() => [
          Number(document.querySelector("output[data-frame]").dataset.frame), document.querySelectorAll("[data-drawing]").length]);
        if (count > 0) seen.add(frame);
        return frame > 16;
      });
      await press("Space");
      const seconds = await stood;
      if (seconds < 0.7) throw new Error(`what is drawn on one frame was seen for ${seconds} s`);
      if (seen.size < 2 || [...seen].some((f) => f < 8 || f > 14)) throw new Error(`seen on ${[...seen]}`);
    });

    await report.check("with a mark: it goes with it, and with it away", async () => {
      await press("Control+ArrowUp", "Control+ArrowUp", "Home");
      await press("Shift+ArrowRight", "Shift+ArrowRight");
      await onFrame(20);
      await page.keyboard.press((await ledger(library, "SELECT key FROM fault WHERE key <> '' ORDER BY id LIMIT 1"))[0].key);
      const [mark] = await until("the mark", async () => {
        const all = await ledger(library, "SELECT id FROM mark WHERE gone = 0");
        return all.length === 1 && all;
      });
      await press("F10");
      await page.getByRole("button", { name: "Draw", exact: true }).last().click();
      await panel.getByRole("checkbox").waitFor();
      await press("3");
      await drag([0.5, 0.5], [0.6, 0.5]);
      same((await kept(7))[6].mark_id, mark.id, "the mark of the circle");
      await look("with-mark");
      await press("Escape", "Escape", "Delete");
      await kept(6);
      await press("Control+z");
      await kept(7);
      await press("F10");
    });

    await report.check("the command lists it, a page of the library's work carries it", async () => {
      const out = JSON.parse((await run(program, ["--library", library, "drawings", "a01_baseline.mp4", "--json"])).stdout);
      same(out.drawings.length, 7, "drawings listed");
      same(Math.round(out.drawings.find((d) => d.kind === "angle").degrees), 90, "the angle's degrees");
      const file = join(stage.dir, "record.json");
      await run(program, ["--library", library, "record", file, "--names"]);
      same(JSON.parse(await readFile(file, "utf8")).drawings.length, 7, "drawings in the record");
    });
    same(complaints, [], "complaints of the page");
  } finally {
    await close();
  }
}

await play("drawing", work);
