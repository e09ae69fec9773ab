// How a picture is looked at: the room that it has at 1366 × 768, and what comes back
// beside it when it is needed.
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
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
  const shown = () => until("a picture", () => page.locator(".surface img:visible").boundingBox());
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
      await press("Enter");
      await page.getByText("Saved: good stroke").waitFor();
      await press("ArrowRight");
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

    const address = () => page.locator(".surface img:visible").getAttribute("src");
    const partOf = (src) => /part=(\d+),(\d+),(\d+),(\d+)/.exec(src)?.slice(1).map(Number);
    /** Mean difference of the shown picture from the same place of the whole one, levels. */
    const difference = () =>
      page.evaluate(async () => {
        const shown = [...document.querySelectorAll(".surface img")].find((i) => i.style.display === "block");
        const [x, y, w, h] = /part=([\d,]+)/.exec(shown.src)[1].split(",").map(Number);
        const whole = new Image();
        whole.src = shown.src.replace(/&part=[\d,]+/, "").replace(/w=\d+/, "w=3840");
        await whole.decode();
        const levels = (image, ...from) => {
          const c = new OffscreenCanvas(w, h).getContext("2d");
          c.drawImage(image, ...from, 0, 0, w, h);
          return c.getImageData(0, 0, w, h).data;
        };
        const [a, b] = [levels(shown, 0, 0, shown.naturalWidth, shown.naturalHeight), levels(whole, x, y, w, h)];
        return { size: [shown.naturalWidth, shown.naturalHeight, w, h], mean: a.reduce((sum, v, i) => sum + Math.abs(v - b[i]), 0) / a.length };
      });

    await report.check("the wheel zooms at the pointer, and what is asked for are the clip's own pixels", async () => {
      await press("Home");
      const box = await shown();
      const at = { x: box.x + 0.7 * box.width, y: box.y + 0.4 * box.height };
      await page.mouse.move(at.x, at.y);
      for (let i = 0; i < 20; i++) await page.mouse.wheel(0, -120);
      await until("a part", async () => partOf(await address()));
      const [x, y, w, h] = partOf(await address());
      if (!(x < 0.7 * 320 && 0.7 * 320 < x + w && y < 0.4 * 180 && 0.4 * 180 < y + h)) throw new Error(`the part ${[x, y, w, h]} does not hold the pointer`);
      const got = await difference();
      same(got.size.slice(0, 2), got.size.slice(2), "the size of the part and of its picture");
      if (got.mean > 4) throw new Error(`the part differs by ${got.mean} levels`);
    });

    await report.check("the zoom is kept while stepping and playing", async () => {
      const before = partOf(await address());
      await press("ArrowRight", "ArrowRight");
      await onFrame(2);
      same(partOf(await address()), before, "the part after two steps");
      await press("Space");
      await until("some frames", async () => Number(await page.locator("output[data-frame]").getAttribute("data-frame")) > 8);
      await press("Space");
      same(partOf(await address()), before, "the part after playing");
    });

    await report.check("dragging and keys move it, and one key shows all again", async () => {
      const [x, y] = partOf(await address());
      const box = await page.locator(".view").boundingBox();
      await page.mouse.move(box.x + 300, box.y + 300);
      await page.mouse.down();
      await page.mouse.move(box.x + 360, box.y + 340, { steps: 4 });
      await page.mouse.up();
      await until("a part further left and up", async () => partOf(await address())[0] < x && partOf(await address())[1] < y);
      const dragged = partOf(await address());
      await press("Control+Shift+ArrowRight");
      await until("one further right", async () => partOf(await address())[0] > dragged[0]);
      await press("Control+0");
      await until("the whole picture", async () => !partOf(await address()));
      await press("Control++");
      await until("a part by key", async () => partOf(await address()));
      await press("Control+0");
    });

    await report.check("two fingers zoom", async () => {
      await until("the whole picture", async () => !partOf(await address()));
      const touch = await page.context().newCDPSession(page);
      const fingers = (type, apart) => touch.send("Input.dispatchTouchEvent", { type, touchPoints: apart ? [{ x: 600 - apart, y: 300, id: 1 }, { x: 600 + apart, y: 300, id: 2 }] : [] });
      await fingers("touchStart", 40);
      for (const apart of [50, 60, 70, 80]) await fingers("touchMove", apart);
      await fingers("touchEnd");
      await until("a part", async () => partOf(await address()));
      await press("Control+0");
    });

    await report.check("what lies over the picture follows the zoom: a corner of the ruler stays where it was clicked", async () => {
      await press("Control+m");
      await page.getByRole("region", { name: "Ruler" }).getByText("Corner 1 of 4.").waitFor();
      const box = await page.locator(".view").boundingBox();
      const at = { x: box.x + 0.3 * box.width, y: box.y + 0.5 * box.height };
      await page.mouse.click(at.x, at.y);
      const handle = page.locator("[data-handle='corner 0'] .room");
      const middle = async () => {
        const b = await handle.boundingBox();
        return [b.x + b.width / 2, b.y + b.height / 2];
      };
      const near = (got, want) => Math.hypot(got[0] - want[0], got[1] - want[1]) < 1.5;
      await until("the corner where it was clicked", async () => near(await middle(), [at.x, at.y]));
      await page.mouse.move(at.x, at.y);
      await page.mouse.wheel(0, -120);
      await until("a part", async () => partOf(await address()));
      if (!near(await middle(), [at.x, at.y])) throw new Error(`the corner is at ${await middle()}, not ${[at.x, at.y]}`);
      await page.mouse.move(at.x + 100, at.y);
      await page.mouse.wheel(0, -120);
      await until("the corner further left", async () => (await middle())[0] < at.x - 10);
      await press("Control+0", "Backspace", "Escape");
    });

    await report.check("a clip is rotated, mirrored and made brighter; it stays so, undo takes it back, and places stay where they were", async () => {
      const natural = () => page.locator(".surface img:visible").evaluate((i) => [i.naturalWidth > i.naturalHeight ? "wide" : "high", /adjust=([-\d,]+)/.exec(i.src)[1]]);
      const kept = "SELECT rotation, mirror, brightness FROM adjustment WHERE gone = 0";
      await press("Home", "Control+m");
      await page.getByText("Corner 1 of 4.").waitFor();
      const view = await page.locator(".view").boundingBox();
      const scale = Math.min(view.width / 320, view.height / 180);
      const at = (x, y, w, h, by) => [view.x + (view.width - w * by) / 2 + x * by, view.y + (view.height - h * by) / 2 + y * by];
      await page.mouse.click(...at(80, 45, 320, 180, scale));
      await press("Control+.");
      await until("the rotated picture", async () => (await natural()).join() === "high,1,0,0,0,0");
      await until("the ledger", async () => JSON.stringify(await ledger(library, kept)) === '[{"rotation":1,"mirror":0,"brightness":0}]');
      const b = await page.locator("[data-handle='corner 0'] .room").boundingBox();
      const want = at(180 - 45, 80, 180, 320, Math.min(view.width / 180, view.height / 320));
      if (Math.hypot(b.x + b.width / 2 - want[0], b.y + b.height / 2 - want[1]) > 2) throw new Error(`the corner is at ${[b.x + b.width / 2, b.y + b.height / 2]}, not ${want}`);
      await press("Backspace", "Escape");
      await press("ArrowRight");
      await onFrame(1);
      await press("Control+j", "Control+e");
      await until("the mirror", async () => (await natural())[1] === "3,1,0,0,0");
      await page.getByLabel("Brightness").focus();
      await press("ArrowRight");
      await until("brighter", async () => (await natural())[1] === "3,1,5,0,0");
      await press("Escape");
      await press("F5", "F6");
      await until("the same after coming back", async () => (await natural())[1] === "3,1,5,0,0");
      const asked = [];
      page.on("request", (r) => /\/frame\/\d+\?.*adjust=/.test(r.url()) && asked.push(/adjust=([-\d,]+)/.exec(r.url())[1]));
      await page.reload();
      await page.locator("[data-clip]").first().click();
      await until("the same the next time", async () => (await natural())[1] === "3,1,5,0,0");
      same([...new Set(asked)], ["3,1,5,0,0"], "how pictures of the clip are asked for, from the first on");
      await press("Control+z", "Control+z", "Control+z");
      await until("as it was filmed", async () => (await natural()).join() === "wide,0,0,0,0,0");
      same(await ledger(library, kept), [], "the ledger");
    });

    same(complaints, [], "what the page complains of");
  } finally {
    await close();
  }
}

await play("viewing", work);
