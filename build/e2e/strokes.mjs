// Strokes from the sound, in the page on the real backend: a clip of the invented
// club is listened to, a turn is taken over, strokes are corrected, timed and
// undone, and the summary counts them. The truth behind the clip says what to find.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, program, serve } from "./program.mjs";
import { play, run, same, until } from "./stage.mjs";

async function strokes(stage, report) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  const truth = JSON.parse(readFileSync(join(club, "truth.json"), "utf8"));
  const clip = truth.clips.find((c) => c.turns.some((t) => t.turn_id && !t.strokes_logged));
  const place = clip.turns.findIndex((t) => t.turn_id && !t.strokes_logged);
  const turn = clip.turns[place];
  const want = clip.strokes.filter((s) => s.turn === place);
  const settled = "SELECT settled FROM turn WHERE gone = 0 AND id = '" + turn.turn_id + "'";
  const logged = `SELECT frame, outcome, source FROM stroke WHERE gone = 0 AND clip_id = '${clip.clip_id}' AND frame BETWEEN ${turn.first} AND ${turn.last} ORDER BY frame`;

  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const frame = page.locator("output[data-frame]");
  const atFrame = (n) => until(`frame ${n}`, async () => (await frame.getAttribute("data-frame")) === String(n));
  const goTo = async (n) => {
    await page.keyboard.press("Control+g");
    await page.keyboard.type(String(n));
    await page.keyboard.press("Enter");
    await atFrame(n);
  };
  const proposals = page.locator(".strokes button.proposal");
  const shownStrokes = page.locator(".strokes button[data-stroke]");
  const inARow = () => page.locator(".run strong").first().innerText().then(Number);
  const longest = () => page.locator(".run strong").nth(1).innerText().then(Number);

  try {
    await report.check("a clip is listened to when it is opened, and its strokes are proposed", async () => {
      await page.locator(`[data-clip="${clip.clip_id}"]`).click();
      await atFrame(0);
      await goTo(turn.first);
      await until("the proposals", async () => (await proposals.count()) === want.length);
      const frames = await proposals.evaluateAll((all) => all.map((b) => Number(b.dataset.frame)));
      frames.forEach((f, i) => Math.abs(f - want[i].frame) <= 1 || same(f, want[i].frame, `the frame of stroke ${i + 1}`));
      same(await ledger(library, logged), [], "the ledger");
    });

    await report.check("the count follows the sensitivity", async () => {
      const button = page.getByRole("button", { name: /Take over \d+ strokes/ });
      for (let i = 0; i < 4; i++) await page.keyboard.press("<");
      await until("a count", async () => (await button.count()) === 1 || (await proposals.count()) === 0);
      const few = await proposals.count();
      if (few > want.length) throw new Error(`${few} proposals with a higher bar, ${want.length} before`);
      await until("the sensitivity to be kept", async () => (await ledger(library, `SELECT heard_from FROM turn WHERE gone = 0 AND heard_from > 0`)).length === 1);
      await page.keyboard.press("Control+z");
      await page.getByText(/^Undone/).waitFor();
      await until("the usual ones", async () => (await proposals.count()) === want.length);
    });

    await report.check("one key takes the whole turn over", async () => {
      await page.keyboard.press("Control+Enter");
      await until("strokes", async () => (await shownStrokes.count()) === want.length && (await proposals.count()) === 0);
      const rows = await ledger(library, logged);
      same(rows.map((r) => r.source), want.map(() => "machine"), "the sources");
      same(await ledger(library, settled), [{ settled: 1 }], "the turn");
    });

    let before;
    await report.check("a stroke made missed ends the streak there", async () => {
      before = { longest: await longest(), current: await inARow(), rows: await ledger(library, logged) };
      await page.keyboard.press("Home");
      await goTo(turn.last);
      // Back to the last stroke but one, which stands in the streak.
      await page.keyboard.press(",");
      await page.keyboard.press(",");
      await atFrame(before.rows.at(-2).frame);
      same(before.rows.at(-2).outcome, "good", "its outcome before");
      await page.keyboard.press("-");
      await until("the streak to change", async () => (await inARow()) === (before.rows.at(-1).outcome === "good" ? 1 : 0));
      same((await ledger(library, logged)).at(-2), { frame: before.rows.at(-2).frame, outcome: "missed", source: "hand" }, "the corrected stroke");
      same(await page.locator(".strokes circle.dot.missed").count(), 1, "round hollow dots, the coach's own");
    });

    await report.check("the summary counts what was taken over", async () => {
      await page.keyboard.press("F7");
      const { stdout } = await run(program, ["--library", library, "summary", "--format", "json", "--names"], { maxBuffer: 1 << 26 });
      const sheet = JSON.parse(stdout).players.find((p) => p.player_id === turn.player_id);
      const all = truth.clips.flatMap((c) => (c.bare ? [] : c.strokes.filter((s) => c.turns[s.turn].player_id === turn.player_id)));
      same([sheet.all.strokes, sheet.all.unlogged_turns], [all.length, 0], "strokes, and turns without any");
      await page.getByRole("group", { name: "Whose sheet" }).getByRole("button", { name: turn.player }).click();
      const shown = page.locator("dt", { hasText: "strokes logged" }).locator("xpath=following-sibling::dd");
      await until("the strokes on the sheet", async () => (await shown.first().innerText()) === String(all.length));
      await page.keyboard.press("F6");
      await frame.waitFor();
    });

    await report.check("undo takes the correction back, then the whole turn in one step", async () => {
      await page.keyboard.press("Control+z");
      await until("the streak as it was", async () => (await inARow()) === before.current && (await longest()) === before.longest);
      same(await ledger(library, logged), before.rows, "the ledger");
      await page.keyboard.press("Control+z");
      await until("proposals again", async () => (await proposals.count()) === want.length);
      same(await ledger(library, logged), [], "the ledger");
    });

    await report.check("a correction of one proposal takes the turn over in the same step", async () => {
      await goTo(turn.first);
      await page.keyboard.press(".");
      await page.keyboard.press("Delete");
      await until("one stroke less", async () => (await shownStrokes.count()) === want.length - 1);
      await page.keyboard.press("Control+z");
      await until("proposals again", async () => (await proposals.count()) === want.length);
    });

    await report.check("readiness is timed against the partner's contact, and a late one marked in one key", async () => {
      await page.keyboard.press("Control+Enter");
      await until("strokes", async () => (await shownStrokes.count()) === want.length);
      // The last one: earlier ones have their mark already.
      const answer = (await ledger(library, `SELECT frame, answer FROM stroke WHERE gone = 0 AND source = 'machine' AND answer IS NOT NULL ORDER BY frame DESC LIMIT 1`))[0];
      await goTo(Math.ceil(answer.answer * 50) + 4);
      await page.keyboard.press(";");
      await page.getByText(/Stroke \d+: 0\.\d\d s late\. Mark it as LATE\?/).waitFor();
      await page.keyboard.press("+");
      await until("the mark", async () => (await ledger(library, "SELECT 1 FROM mark WHERE gone = 0 AND source = 'machine'")).length === 1);
    });

    await report.check("an arrow is drawn on the picture of a mark", async () => {
      await page.keyboard.press("F10"); // the lists
      await page.locator('button[title^="Draw on the picture of this mark"]').click();
      await page.getByRole("region", { name: "Draw" }).waitFor();
      const [mark] = await ledger(library, "SELECT frame FROM mark WHERE gone = 0 AND source = 'machine'");
      await until("the picture of the mark", async () => (await page.locator("output[data-frame]").getAttribute("data-frame")) === String(mark.frame));
      const box = await page.locator(".picture").boundingBox();
      await page.mouse.move(box.x + box.width * 0.4, box.y + box.height * 0.4);
      await page.mouse.down();
      await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.5, { steps: 3 });
      await page.mouse.up();
      const [drawn] = await until("the arrow", async () => {
        const rows = await ledger(library, "SELECT d.kind, d.places FROM drawing d JOIN mark m ON m.id = d.mark_id WHERE d.gone = 0 AND m.frame = d.frame AND d.clip_id = '" + clip.clip_id + "'");
        return rows.length === 1 && rows;
      });
      const [from, to] = JSON.parse(drawn.places);
      same([drawn.kind, from.x < to.x, from.y < to.y], ["arrow", true, true], "the arrow");
      await page.keyboard.press("Escape");
      await page.keyboard.press("Escape");
    });

    await report.check("the share of late strokes opens down to their frames, the marked ones too", async () => {
      await page.keyboard.press("F7");
      await page.getByRole("group", { name: "Whose sheet" }).getByRole("button", { name: turn.player }).press("Enter");
      await page.getByRole("group", { name: "Part of the summary" }).getByRole("button", { name: "Ready and tempo" }).press("Enter");
      const share = page.getByRole("row", { name: /^All turns/ }).getByRole("button", { name: /^\d+ of \d+ strokes?,/ });
      const all = Number((await share.innerText()).split(" ")[0]);
      await share.press("Enter");
      const more = page.getByRole("button", { name: /^\d+ more…$/ });
      while ((await more.count()) > 0) await more.press("Enter");
      same(await page.getByRole("button", { name: /^frame \d+: 0\.\d\d s late(, marked)?$/ }).count(), all, "the strokes listed");
      // The list names the picture of being ready; the mark stands at the partner's contact before it.
      const [late] = await ledger(library, "SELECT s.ready_frame FROM mark m JOIN stroke s ON s.id = m.stroke_id WHERE m.gone = 0 AND m.source = 'machine'");
      await page.getByRole("button", { name: new RegExp(`^frame ${late.ready_frame}: .*, marked$`) }).first().press("Enter");
      await atFrame(late.ready_frame);
    });

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

await play("strokes", strokes);
