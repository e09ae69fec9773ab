// Turns that propose themselves, in the page on the real backend: clips of the
// invented club without a turn are listened to, their bursts of play become turns by
// keys, one by one and all at once, are joined, split and undone. The truth behind
// the clips says where the turns are; key presses are counted.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, serve } from "./program.mjs";
import { play, same, until } from "./stage.mjs";

async function bursts(stage, report) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  const truth = JSON.parse(readFileSync(join(club, "truth.json"), "utf8"));
  const session = truth.clips.filter((c) => c.session_id === truth.clips[0].session_id);
  const [one, two, three] = session;

  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const frame = page.locator("output[data-frame]");
  const atFrame = (n) => until(`frame ${n}`, async () => (await frame.getAttribute("data-frame")) === String(n));
  const turnsOf = (clip) => ledger(library, `SELECT first, last, player_id, drill_id FROM turn WHERE gone = 0 AND clip_id = '${clip.clip_id}' ORDER BY first`);
  const list = (clip) => page.evaluate((id) => window.go.main.Bursts.List(id), clip.clip_id);
  const line = page.locator(".stage .line");
  let presses = 0;
  const press = async (key) => {
    presses++;
    await page.keyboard.press(key);
  };
  const openClip = async (clip) => {
    await page.keyboard.press("F5");
    await page.locator(`[data-clip="${clip.clip_id}"]`).click();
    await atFrame(0);
    await line.getByText(`${clip.turns.length} bursts of play are no turn yet.`).waitFor();
  };
  /** How many borders of the turns in the ledger lie within a second of the truth. */
  const borders = async (clip) => {
    const rows = await turnsOf(clip);
    same(rows.length, clip.turns.length, "the number of turns");
    return rows.flatMap((r, i) => [r.first - clip.turns[i].first, r.last - clip.turns[i].last]).filter((d) => Math.abs(d) <= 50).length;
  };

  try {
    const people = await page.evaluate(async (clips) => {
      const { Bench, Catalogue, Turns } = window.go.main;
      for (const c of clips) for (const t of (await Bench.Ledger(c)).turns ?? []) await Turns.Remove(t.id);
      return (await Catalogue.Get()).players;
    }, session.map((c) => c.clip_id));
    await page.reload();
    await page.waitForFunction(() => window.go?.main?.Library);
    const drillOf = (clip) => clip.turns[0].drill_id;
    const rung = async (clip) => (await ledger(library, `SELECT rung FROM drill WHERE id = '${drillOf(clip)}'`))[0].rung;
    const order = people.slice(0, 3).map((p) => p.id);

    await report.check("bursts of play are shown, and the list asks who plays what once", async () => {
      await openClip(one);
      await press("#");
      const dialog = page.getByRole("dialog", { name: "Turns of this clip" });
      for (const id of order) await dialog.getByLabel("Add a player to the order").selectOption(id);
      await until("the order", async () => (await list(one)).order.length === order.length);
      same((await list(one)).order, order, "the order");
      await dialog.getByLabel("Drill of burst 1").focus();
      same(await dialog.getByLabel("Player of burst 2").inputValue(), order[1], "the player of the second row");
      presses = 1; // the order is set once
      await press("Enter");
      await dialog.getByText("Say which drill it is").waitFor();
      await press(String(await rung(one)));
      await press("Enter");
      await dialog.waitFor({ state: "detached" });
      const rows = await turnsOf(one);
      same(rows.map((r) => r.player_id), order.slice(0, 2), "the players");
      same(rows.map((r) => r.drill_id), [drillOf(one), drillOf(one)], "the drills");
    });

    let made = one.turns.length;
    let right = await borders(one);
    await report.check("another drill in the next clip: its list is done in three presses, and the order goes on", async () => {
      await openClip(two);
      const before = presses;
      await press("#");
      await page.getByRole("dialog", { name: "Turns of this clip" }).waitFor();
      await press(String(await rung(two)));
      await press("Enter");
      await page.getByRole("dialog").waitFor({ state: "detached" });
      same(presses - before, 3, "presses");
      same((await turnsOf(two)).map((r) => [r.player_id, r.drill_id]), [2, 3, 4].map((i) => [order[i % 3], drillOf(two)]), "players and drills");
      made += two.turns.length;
      right += await borders(two);
    });

    await report.check("all of them were one step, which one undo takes back", async () => {
      await page.keyboard.press("Control+z");
      await until("no turns", async () => (await turnsOf(two)).length === 0);
      await page.getByText(/^Undone/).waitFor();
      await page.keyboard.press("Control+Shift+z");
      await until("the turns", async () => (await turnsOf(two)).length === two.turns.length);
    });

    await report.check("one key goes to the next burst, Enter makes it a turn of the next player at the same drill", async () => {
      await openClip(three);
      const { bursts: all } = await list(three);
      for (const [i, b] of all.entries()) {
        await press("}");
        await atFrame(b.first);
        await line.getByText(`${b.strokes} strokes heard`).waitFor();
        await press("Enter");
        await until(`turn ${i + 1}`, async () => (await turnsOf(three)).length === i + 1);
      }
      same((await turnsOf(three)).map((r) => [r.player_id, r.drill_id]), [5, 6, 7].map((i) => [order[i % 3], drillOf(two)]), "players and drills");
      made += three.turns.length;
      right += await borders(three);
      same((await list(three)).bursts, [], "what is left");
    });

    await report.check(`no more than two presses a turn, and the borders are those of the truth: ${presses} presses for ${made} turns, ${right} of ${2 * made} borders within 1 s`, async () => {
      if (presses > 2 * made) throw new Error(`${presses} presses for ${made} turns`);
      if (right < 0.95 * 2 * made) throw new Error(`${right} of ${2 * made} borders`);
    });

    await report.check("two bursts are joined, and split again where the picture stands", async () => {
      for (let n = three.turns.length; n > 0; n--) {
        await page.keyboard.press("Control+z");
        await until("a turn less", async () => (await turnsOf(three)).length === n - 1);
        await page.getByText(/^Undone/).waitFor();
      }
      const before = (await list(three)).bursts;
      await page.keyboard.press("Home");
      await page.keyboard.press("}");
      await atFrame(before[0].first);
      await page.keyboard.press("&");
      await until("one burst less", async () => (await list(three)).bursts.length === before.length - 1);
      await page.getByText(/^Joined with the next/).waitFor();
      await page.keyboard.press("Control+g");
      await page.keyboard.type(String(Math.round((before[0].last + before[1].first) / 2)));
      await page.keyboard.press("Enter");
      await atFrame(Math.round((before[0].last + before[1].first) / 2));
      await page.keyboard.press("|");
      await until("as before", async () => JSON.stringify((await list(three)).bursts) === JSON.stringify(before));
    });

    await report.check("a longer pause joins them all, and is kept", async () => {
      await page.keyboard.press("#");
      const field = page.getByLabel("A turn ends after");
      await field.fill("30");
      await field.press("Tab");
      await until("one burst", async () => (await list(three)).bursts.length === 1);
      await page.getByRole("button", { name: "As learned" }).click();
      await until("three bursts", async () => (await list(three)).bursts.length === three.turns.length);
      await page.keyboard.press("Escape");
    });

    await report.check("where no turn covers the frame, the key that makes one is named", async () => {
      await page.getByLabel("A turn ends after").waitFor({ state: "hidden" });
      await page.keyboard.press("Home");
      await page.keyboard.press("}");
      await atFrame((await list(three)).bursts[0].first);
      await line.getByText(/strokes heard/).waitFor();
      await page.keyboard.press("Control+Enter");
      await page.getByText("No turn covers this frame: press Enter to make one").waitFor();
    });

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

await play("bursts", bursts);
