// The table as a ruler, on the invented club whose corners and camera are known: found
// by itself, clicked roughly and pulled onto the lines, measured by, dragged, moved by
// keys, undone, and taken over on the next clip of the session; lines that fit poorly, a
// camera that was knocked, looking too, and what is measured in the summary.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, program, serve } from "./program.mjs";
import { play, run, same, until } from "./stage.mjs";

/** Numbers that look drawn and are the same every time (Park SK, Miller KW (1988) CACM 31:1192-1201). */
function drawn(seed) {
  let x = seed;
  return () => ((x = (x * 48271) % 2147483647), x / 2147483647);
}

/** Where a place of the hall shows: see TruthCamera in internal/demo. */
function shown(c, place) {
  const d = place.map((v, i) => v - c.at[i]);
  const dot = (a) => a.reduce((sum, v, i) => sum + v * d[i], 0);
  return [c.centre[0] + (c.focal * dot(c.right)) / dot(c.ahead), c.centre[1] + (c.focal * dot(c.down)) / dot(c.ahead)];
}

async function work(stage, report) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  const truth = JSON.parse(readFileSync(join(club, "truth.json"), "utf8"));
  const [first, second] = truth.clips.filter((c) => c.date === "2026-09-08");
  await stage.screen("1366x768");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const layer = page.locator("[data-ruler]");
  const panel = page.getByRole("region", { name: "Ruler" });
  const random = drawn(5);
  const noise = (sd) => sd * Math.sqrt(12) * (random() - 0.5);

  /** Where a place of the picture is on the screen. */
  async function screen([x, y]) {
    const box = await layer.boundingBox();
    const scale = Math.min(box.width / first.width, box.height / first.height);
    return [box.x + (box.width - first.width * scale) / 2 + x * scale, box.y + (box.height - first.height * scale) / 2 + y * scale];
  }
  const click = async (at) => page.mouse.click(...(await screen(at)));
  const laid = async (clip) =>
    (await ledger(library, `SELECT clicked, snapped, support FROM ruler WHERE gone = 0 AND id = '${clip.clip_id}'`)).map((r) => ({
      support: r.support,
      clicked: JSON.parse(r.clicked),
      snapped: JSON.parse(r.snapped),
    }))[0];
  /** The truth counts from the near right corner to the far right one; the page asks for the left one first. */
  const corners = (clip) => [3, 0, 1, 2].map((i) => clip.table_corners[i]);
  /** A picture of the page, where somebody wants to look. */
  const look = async (name) => {
    const folder = process.env.STROKELEDGER_SHOTS;
    if (folder) await page.screenshot({ path: join(folder, `${name}.png`) });
  };
  const near = (got, want, by, what) => {
    if (!(Math.abs(got - want) <= by)) throw new Error(`${what} is ${got}, not ${want} ± ${by}`);
  };
  const onTruth = (outline, clip) =>
    outline.corners.forEach((p, i) => [p.x, p.y].forEach((v, k) => near(v, corners(clip)[i][k], 5, `corner ${i}`)));
  const review = async (clip) => {
    await page.keyboard.press("F5");
    await page.locator("article").filter({ hasText: clip.file }).first().click();
    await page.keyboard.press("Enter");
    await page.locator(".clip").filter({ hasText: clip.file }).waitFor();
    await page.locator("output[data-frame]").waitFor();
  };

  try {
    await report.check("one key opens it, and the table is found by itself; a key refuses that", async () => {
      await review(first);
      await page.keyboard.press("Control+m");
      await panel.getByText("The table was found by itself.").waitFor();
      await panel.getByText("Corner 1 of 4.").waitFor();
      await page.keyboard.press("Backspace");
      await panel.getByText("The table was found by itself.").waitFor({ state: "detached" });
      same(await laid(first), undefined, "the ruler in the ledger");
    });

    await report.check("Enter clicks in the middle, Backspace takes the click back", async () => {
      await page.keyboard.press("Enter");
      await panel.getByText("Corner 2 of 4.").waitFor();
      await page.keyboard.press("Backspace");
      await panel.getByText("Corner 1 of 4.").waitFor();
    });

    await report.check("four rough clicks and the net posts are pulled onto the lines", async () => {
      for (const [x, y] of corners(first)) await click([x + noise(2), y + noise(2)]);
      await panel.getByText("Net post 1 of 2.").waitFor();
      const { length, width, height, net_height: net } = truth.table;
      for (const y of [width + 0.1525, -0.1525]) {
        const [u, v] = shown(first.camera, [length / 2, y, height + net]);
        await click([u + noise(2), v + noise(2)]);
      }
      await panel.getByText("The lines fit well.").waitFor();
      const row = await laid(first);
      onTruth(row.snapped, first);
      if (row.support < 0.85) throw new Error(`the support is ${row.support}`);
      same(await page.locator("[data-handle^=corner]").count(), 4, "the number of corners to drag");
    });

    await report.check("a click on the floor tells how far it is, two how they differ, one on the wall why not", async () => {
      await click(shown(first.camera, [-0.41, 0.63, 0]));
      const told = panel.getByText(/from the end line/);
      await told.waitFor();
      const one = /^([0-9]+)\u00a0cm from the end line\u00a0\(±([0-9]+)\), ([0-9]+)\u00a0cm inside the right side line\u00a0\(±([0-9]+)\)\.$/.exec(await told.innerText());
      if (!one) throw new Error(`it says ${await told.innerText()}`);
      near(Number(one[1]), 41, Number(one[2]), "the distance from the end line");
      near(Number(one[3]), 63, Number(one[4]), "the distance from the side line");
      await click(shown(first.camera, [-0.71, 0.9, 0]));
      const apart = panel.getByText(/farther from the end line/);
      await apart.waitFor();
      const two = /^([0-9]+)\u00a0cm farther from the end line\u00a0\(±([0-9]+)\), ([0-9]+)\u00a0cm farther left\u00a0\(±([0-9]+)\)\.$/.exec(await apart.innerText());
      if (!two) throw new Error(`it says ${await apart.innerText()}`);
      near(Number(two[1]), 30, Number(two[2]), "the difference");
      near(Number(two[3]), 27, Number(two[4]), "the difference sideways");
      await click([first.width / 2, 12]);
      await panel.getByText(/^That point is not on the floor/).waitFor();
      await page.keyboard.press("Backspace");
      await panel.getByText(/^That point is not on the floor/).waitFor({ state: "detached" });
    });

    await report.check("a corner that is dragged is kept where it is let go, and undo brings it back", async () => {
      const before = await laid(first);
      const { x, y } = before.snapped.corners[1];
      await page.mouse.move(...(await screen([x, y])));
      await page.mouse.down();
      await page.mouse.move(...(await screen([x + 4, y + 3])));
      await page.mouse.move(...(await screen([x + 8, y + 6])));
      await page.mouse.up();
      const after = await until("the drag to be kept", async () => {
        const now = await laid(first);
        return now.snapped === null && now;
      });
      near(after.clicked.corners[1].x, x + 8, 1.5, "the corner");
      near(after.clicked.corners[1].y, y + 6, 1.5, "the corner");
      await page.keyboard.press("Control+z");
      await until("undo", async () => JSON.stringify(await laid(first)) === JSON.stringify(before));
      await panel.getByText("The lines fit well.").waitFor();
    });

    await report.check("lines that fit poorly say what to do, and do not ask for feet yet", async () => {
      const before = await laid(first);
      const { x, y } = before.snapped.corners[1];
      await page.mouse.move(...(await screen([x, y])));
      await page.mouse.down();
      await page.mouse.move(...(await screen([x + 8, y + 6])));
      await page.mouse.move(...(await screen([x + 16, y + 14])));
      await page.mouse.up();
      await panel.getByText(/^! The (table's )?lines (fit poorly|are not seen)/).waitFor();
      await panel.getByText(/^First drag the corners onto the table's outer edges/).waitFor();
      same(await panel.getByText("Click where a foot stands").count(), 0, "calls for feet");
      await look("poor");
      await page.keyboard.press("Control+z");
      await panel.getByText("The lines fit well.").waitFor();
      await panel.getByText(/^Click where a foot stands/).waitFor();
    });

    await report.check("Tab chooses a corner, arrow keys move it by a pixel", async () => {
      const before = (await laid(first)).snapped.corners[0];
      const corner = page.locator("[data-handle='corner 0']");
      await corner.focus();
      for (const key of ["ArrowRight", "ArrowRight", "ArrowDown"]) await page.keyboard.press(key);
      const after = await until("the corner to be kept", async () => {
        const now = await laid(first);
        return now.snapped === null && now.clicked.corners[0];
      });
      near(after.x, before.x + 2, 1e-6, "the corner");
      near(after.y, before.y + 1, 1e-6, "the corner");
      same(await page.locator("output").getAttribute("data-frame"), "0", "the frame");
      await panel.getByRole("button", { name: "Pull onto the lines" }).click();
      await until("it to be pulled", async () => (await laid(first)).snapped !== null);
      onTruth((await laid(first)).snapped, first);
    });

    await report.check("strokes are measured, each is a dot, and a limit is kept and undone", async () => {
      const strokes = page.getByRole("region", { name: "Measured strokes" });
      await strokes.getByRole("button", { name: "Measure the strokes" }).click();
      const dots = strokes.locator("svg").first().locator(".dot");
      await until("the strokes", async () => (await dots.count()) > 0 && (await strokes.getByRole("button", { name: /^(Measure|Stop)/ }).count()) === 0, 60000);
      const told = await dots.evaluateAll((all) => all.map((d) => d.getAttribute("aria-label")));
      const seen = told.map((d) => /^Frame (\d+): (\d+) cm, /.exec(d).map(Number));
      for (const stroke of first.strokes) {
        const dot = seen.find(([, frame]) => Math.abs(frame - stroke.frame) <= 2);
        if (!dot) throw new Error(`no dot for the stroke at frame ${stroke.frame}`);
        near(dot[2], 100 * stroke.feet_line_m, 8, `the feet at frame ${stroke.frame}`);
      }
      await dots.first().click();
      await page.locator("polyline.body").first().waitFor();
      await strokes.getByRole("heading", { name: "About: hand back before the partner's contact, ms" }).scrollIntoViewIfNeeded();
      await strokes.getByText(/On show: hand (back|not back)/).waitFor();
      await look("strokes");
      await strokes.getByRole("button", { name: "Set a limit" }).first().click();
      const limit = async () => (await ledger(library, "SELECT limit_at FROM fault WHERE code = 'CLOSE'"))[0].limit_at;
      await until("the limit to be kept", async () => (await limit()) > 0);
      await page.keyboard.press("Control+z");
      await until("undo", async () => (await limit()) === 0);
      await page.keyboard.press("Home");
      await page.locator("output[data-frame='0']").waitFor();
    });

    await report.check("the floor's grid is switched off and on, and Escape puts everything away", async () => {
      const grid = layer.locator("path.floor");
      if ((await grid.count()) < 20) throw new Error(`${await grid.count()} lines of the grid`);
      await panel.getByRole("checkbox", { name: /Floor/ }).uncheck();
      same(await grid.count(), 0, "lines of the grid");
      await panel.getByRole("checkbox", { name: /Floor/ }).check();
      await page.keyboard.press("Escape");
      await layer.waitFor({ state: "detached" });
      await page.keyboard.press("ArrowRight");
      await page.locator("output[data-frame='1']").waitFor();
    });

    await report.check("the list of entries says about when the hand was back where no coach has set a frame", async () => {
      const list = page.getByRole("region", { name: "Marks of this clip" });
      await page.keyboard.press("F10");
      await list.getByRole("checkbox", { name: "strokes too" }).check();
      await list.getByText(/^hand (back about|not back)/).first().waitFor();
      await list.getByText(/^ready [0-9.]+ s before the partner's contact/).first().waitFor();
      await look("list");
      await list.getByRole("checkbox", { name: "strokes too" }).uncheck();
      await page.keyboard.press("F10");
      await list.waitFor({ state: "detached" });
    });

    await report.check("the next clip of the session is offered this ruler, and one key takes it", async () => {
      await review(second);
      await page.getByRole("button", { name: "Ruler", exact: true }).click();
      await panel.getByText(`The ruler of ${first.file} fits this picture too.`).waitFor();
      await page.keyboard.press("+");
      await panel.getByText("The lines fit well.").waitFor();
      onTruth((await laid(second)).snapped, second);
      await panel.getByRole("button", { name: "Take off" }).click();
      await until("it to be off", async () => (await laid(second)) === undefined);
      await panel.getByText("Corner 1 of 4.").waitFor();
    });

    await report.check("a clip whose camera was knocked says since when distances are wrong", async () => {
      const clip = truth.clips.find((c) => c.camera_moved?.length > 0 && c.turns.some((t) => t.turn_id));
      const at = corners(clip).map((p) => p.join(",")).join(" ");
      await run(program, ["--library", library, "ruler", clip.file, "--corners", at, "--click-sd", "1", "--keep"]);
      await review(clip);
      await page.keyboard.press("Control+m");
      const told = panel.getByText(/^! The camera moved at [0-9]+:[0-9]{2}/);
      await told.waitFor();
      const [, minutes, seconds] = /at ([0-9]+):([0-9]{2})/.exec(await told.innerText());
      near(60 * Number(minutes) + Number(seconds), clip.camera_moved[0].frame / 50, 1.5, "the second of the knock");
      await look("moved");
      await page.keyboard.press("Escape");
    });

    await report.check("Alt + L looks at the pictures of a turn too, and stops", async () => {
      const clip = truth.clips.find((c) => c.turns.some((t) => t.turn_id && !t.strokes_logged));
      await review(clip);
      const turn = clip.turns.find((t) => t.turn_id && !t.strokes_logged);
      await page.keyboard.press("Control+g");
      await page.keyboard.type(String(turn.first + 5));
      await page.keyboard.press("Enter");
      await page.getByText("Look too").waitFor({ timeout: 60000 });
      await page.keyboard.press("Alt+l");
      await page.getByText("Looking… stop").waitFor();
      await look("looking");
      await page.keyboard.press("Alt+l");
      await page.getByText("Looking… stop").waitFor({ state: "detached" });
    });

    await report.check("the summary has a leaf for what is measured, down to every stroke", async () => {
      await page.keyboard.press("F7");
      await page.getByRole("group", { name: "Part of the summary" }).getByRole("button", { name: "Measured" }).press("Enter");
      await look("summary");
      await page.getByText(/^Measured 1 of [0-9]+ clips with strokes\./).waitFor();
      await page.getByText(/^Feet [0-9]+ cm from the table/).waitFor();
      await look("measured");
      await page.getByRole("button", { name: "Show every stroke" }).press("Enter");
      await page.locator("svg .dot").first().waitFor();
      await look("measured-dots");
    });
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("ruler", work);
