// Two cameras of one minute: found by their sound under Sessions, lined up, stepped through
// together in Review, marked on either, taken apart and back.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const RATE = 24000;
const LATER = 3.4; // seconds by which the second camera began later

/** Two films of one minute: dull and bright knocks at times that no beat explains. */
async function films(dir) {
  let x = 11;
  const random = () => (x = (x * 48271) % 2147483647) / 2147483647;
  const knocks = [];
  for (let t = 0.5; t < 58; t += 0.3 + 0.7 * random()) knocks.push([t, 900 + 3000 * random(), 0.2 + 0.5 * random()]);
  const paths = [];
  for (const [i, name] of ["left.mp4", "right.mp4"].entries()) {
    const begins = i * LATER;
    const samples = new Float32Array((60 - begins) * RATE);
    for (const [t, hertz, loud] of knocks) {
      const first = Math.round((t - begins + 0.004 * random()) * RATE);
      for (let k = Math.max(0, first); k < Math.min(samples.length, first + 0.06 * RATE); k++) {
        const at = (k - first) / RATE;
        samples[k] += (i ? 0.4 : 1) * loud * Math.exp(-at / 0.006) * Math.sin(2 * Math.PI * hertz * at);
      }
    }
    for (let k = 0; k < samples.length; k++) samples[k] += 0.002 * (random() - 0.5);
    const raw = join(dir, "sound.f32");
    writeFileSync(raw, Buffer.from(samples.buffer));
    const path = join(dir, name);
    const picture = `testsrc=size=320x180:rate=${25 + 5 * i}:duration=${60 - begins}`;
    const input = ["-f", "lavfi", "-i", picture, "-f", "f32le", "-ar", `${RATE}`, "-ac", "1", "-i", raw];
    await run("ffmpeg", ["-v", "error", "-nostdin", ...input, "-shortest", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", path]);
    paths.push(path);
  }
  return paths;
}

async function work(stage, report) {
  const library = join(stage.dir, "library");
  const paths = await films(stage.dir);
  await run(program, ["--library", library, "add", ...paths, "--session", "2026-03-14"]);
  await stage.screen("1366x768");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const shot = (name) => page.screenshot({ path: join(root, `build/bin/log/cameras-${name}.png`) });
  const pairings = () => ledger(library, "SELECT on_id, start_at FROM pairing WHERE gone = 0");
  const marks = () =>
    ledger(
      library,
      "SELECT m.frame, c.name, coalesce(s.name, '') AS seen FROM mark m JOIN clip c ON c.id = m.clip_id LEFT JOIN clip s ON s.id = m.seen_id WHERE m.gone = 0 ORDER BY m.id",
    );
  const other = page.locator("[data-camera]");
  const frame = (n) => page.locator(`output[data-frame='${n}']`).waitFor();
  const goTo = async (n) => {
    await page.keyboard.press("Control+g");
    await page.keyboard.type(`${n}`);
    await page.keyboard.press("Enter");
    await frame(n);
  };

  try {
    await page.getByText("Who is marking?").waitFor();
    await page.keyboard.type("Mira");
    await page.keyboard.press("Enter");

    await report.check("the session's clips are found to show the same minute, and lined up by one button", async () => {
      await page.keyboard.press("F5");
      await page.getByRole("button", { name: "two cameras?" }).click();
      const pair = page.locator("[data-pair]");
      await pair.waitFor({ timeout: 60000 });
      await shot("found");
      same(/right\.mp4.*begins 3\.[34]\d\d s after/.test(await pair.innerText()), true, "what is said of the two");
      await page.getByRole("button", { name: "Line them up" }).click();
      await pair.waitFor({ state: "detached" });
      const [row] = await pairings();
      if (Math.abs(row.start_at - LATER) > 0.02) throw new Error(`the second begins ${row.start_at} s later, not ${LATER}`);
    });

    await report.check("one key shows the other camera at the same moment, and both step together", async () => {
      await page.locator("article").filter({ hasText: "left.mp4" }).first().getByRole("button").first().click();
      await frame(0);
      await goTo(250);
      await page.keyboard.press("Control+k");
      await other.getByText("right.mp4, frame 198").waitFor();
      await shot("other");
      await page.keyboard.press("Shift+ArrowRight");
      await other.getByText("right.mp4, frame 210").waitFor();
    });

    await report.check("a mark on either camera is kept with the same stroke, and is shown as it was seen", async () => {
      await page.keyboard.press("l");
      await until("the mark", async () => (await marks()).length === 1);
      const [seen] = await marks();
      same([seen.name, seen.seen, Math.abs(seen.frame - 260) <= 1], ["left.mp4", "right.mp4", true], "the mark");
      await page.keyboard.press("Control+k");
      await other.waitFor({ state: "detached" });
      await page.keyboard.press("PageDown");
      await page.keyboard.press("l");
      await until("the second mark", async () => (await marks()).length === 2);
      same((await marks())[1].seen, "", "where the second was seen");
    });

    await report.check("the other clip opens at the clip that keeps its entries", async () => {
      await page.keyboard.press("F5");
      await page.locator("article").filter({ hasText: "right.mp4" }).first().getByRole("button").first().click();
      await other.getByText("right.mp4").first().waitFor();
      await page.locator(".clip, header, .side").filter({ hasText: "left.mp4" }).first().waitFor();
    });

    await report.check("they are taken apart, and undo lines them up again", async () => {
      await page.getByRole("button", { name: "Cameras…" }).click();
      await shot("dialog");
      await page.getByRole("button", { name: "Take it apart" }).click();
      await until("them to be apart", async () => (await pairings()).length === 0);
      await other.waitFor({ state: "detached" });
      await page.keyboard.press("F5");
      await page.getByRole("button", { name: "two clips show the same minutes" }).click(); // proposed: both were heard
      await page.locator("[data-pair]").waitFor();
      await shot("proposed");
      await page.keyboard.press("Escape");
      same((await pairings()).length, 0, "pairings that nobody confirmed");
      await page.keyboard.press("Control+z");
      await until("them to be lined up", async () => (await pairings()).length === 1);
      same((await marks()).length, 2, "marks");
    });
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("cameras", work);
