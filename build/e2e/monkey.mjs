// A hand without a plan: random keys and clicks over the invented club in the page, on the
// real backend. Nothing may be complained of, no row may go without a word of the ledger's
// own log, and the page's memory must not grow without end. The real window has keys.mjs.
//
//   node build/e2e/monkey.mjs [DEEDS] [SEED]    400 deeds, about 15 s; 5000 for a long run
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, program, serve } from "./program.mjs";
import { play, run, same, sleep } from "./stage.mjs";

const [deeds = 400, seed = 1] = process.argv.slice(2).map(Number);
// MB of the page's heap after a collection, above what it was after a fifth of the deeds.
const GROWTH = 30;
const size = { width: 1366, height: 768 };

/** Numbers from 0 to 1, the same for the same seed (mulberry32, public domain). */
function numbers(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t = (t + Math.imul(t ^ (t >>> 7), t | 61)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

const KEYS = [
  ..."abcdefghijklmnopqrstuvwxyz0123456789[]-/=.,;:+!<>()*{}&|#?",
  ...["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "PageUp", "PageDown", "Home", "End", "Space", "Enter", "Escape", "Tab", "Delete", "Backspace", "Insert"],
  ...["F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F1", "F11", "F12"],
  ...["Shift+ArrowLeft", "Shift+ArrowRight", "Shift+Enter", "Shift+Space", "Shift+Tab", "Control+z", "Control+Shift+z", "Control+y", "Control+f", "Control+b", "Control+g"],
  ...["Control+m", "Control+Enter", "Control+Delete", "Control+ArrowLeft", "Control+ArrowRight", "Control+ArrowUp", "Control+ArrowDown", "Control+PageUp", "Control+PageDown", "Control+u", "Control+."],
  // Two pictures, drawing, how a clip is shown, model pictures.
  ...["Alt+b", "Control+d", "Control+o", "Control+s", "Control+p", "Control+j", "Control+e", "Control+,", "Control+k", "Control++", "Control+-", "Control+0"],
  ...["Control+Shift+ArrowLeft", "Control+Shift+ArrowDown", "Alt+i", "Alt+n", "Alt+l", "Alt+Enter"],
  ...["Alt+ArrowLeft", "Alt+ArrowRight", "Alt++", "Alt+-", "Alt+0"],
];

const TABLES = ["session", "clip", "player", "drill", "fault", "coach", "turn", "stroke", "mark", "look", "drawing", "pair", "adjustment"];

/** How many rows live in each table. */
async function rows(library) {
  const [all] = await ledger(library, `SELECT ${TABLES.map((t) => `(SELECT count(*) FROM "${t}" WHERE gone = 0) AS "${t}"`).join(", ")}`);
  return all;
}

async function act(stage, report) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library), size);
  // What asks for a file belongs to the desktop, and these would leave the invented club.
  await page.evaluate(() => {
    const { Library, Sessions, Documents, Catalogue, Preferences } = window.go.main;
    for (const name of ["Choose", "Own", "Invented"]) Library[name] = () => Library.State();
    Sessions.Pick = async () => [];
    Catalogue.ImportRoster = async () => ({ added: 0, skipped: 0, consented: 0, rows: [] });
    Preferences.SaveCard = async () => "";
    for (const name of Object.keys(Documents)) if (/^(Export|Write|Reel|Captions|Save|Record)/.test(name)) Documents[name] = async () => "";
  });
  const before = await rows(library);
  const [{ seq: began }] = await ledger(library, "SELECT coalesce(max(seq), 0) AS seq FROM change");
  const memory = await page.context().newCDPSession(page);
  const heap = async () => {
    await memory.send("HeapProfiler.collectGarbage");
    return (await memory.send("Runtime.getHeapUsage")).usedSize / 1e6;
  };
  const random = numbers(seed);
  const among = (list) => list[Math.floor(random() * list.length)];
  try {
    await report.check(`${deeds} random keys and clicks, seed ${seed}`, async () => {
      let first = 0;
      for (let i = 0; i < deeds; i++) {
        if (random() < 0.25) await page.mouse.click(random() * size.width, random() * size.height);
        else await page.keyboard.press(among(KEYS));
        // Whatever it has opened, it comes back to the clips now and then.
        if (i % 40 === 39) {
          for (const key of ["Escape", "Escape", "F5"]) await page.keyboard.press(key);
          await sleep(150);
          await page.locator("[data-clip]").nth(Math.floor(random() * 5)).click({ timeout: 1000 }).catch(() => {});
        }
        if (i === Math.floor(deeds / 5)) first = await heap();
        if (complaints.length > 0) throw new Error(`after deed ${i}: ${complaints.join(" ").slice(0, 600)}`);
      }
      for (let i = 0; i < 3; i++) await page.keyboard.press("Escape");
      await sleep(500);
      const last = await heap();
      console.log(`# the page's heap: ${first.toFixed(1)} MB after a fifth, ${last.toFixed(1)} MB at the end`);
      if (last - first > GROWTH) throw new Error(`the page's heap grew from ${first.toFixed(1)} to ${last.toFixed(1)} MB`);
    });
    await report.check("the page had nothing to complain about, and the program has not broken down", async () => {
      same(complaints, [], "the console");
      const log = readFileSync(join(stage.dir, "backend.log"), "utf8");
      const bad = log.split("\n").filter((l) => /panic|goroutine \d|fatal|Something went wrong/i.test(l));
      same(bad, [], "the log");
    });
    await report.check("no row is lost: what there is now is what there was and what the log says, and the library is sound", async () => {
      const after = await rows(library);
      const [{ seq }] = await ledger(library, "SELECT coalesce(max(seq), 0) AS seq FROM change");
      const told = await ledger(library, `SELECT kind, sum((after IS NOT NULL) - (before IS NOT NULL)) AS n FROM change_row WHERE seq > ${began} GROUP BY kind`);
      for (const table of TABLES) {
        const by = told.find((t) => t.kind === table)?.n ?? 0;
        same(after[table], before[table] + by, `the number of rows of ${table}, of which the log tells ${by}`);
      }
      if (seq === began) throw new Error("nothing was entered: the keys did not reach the bench");
      const { stdout } = await run(program, ["--library", library, "check"]);
      if (!/sound/.test(stdout)) throw new Error(stdout);
    });
  } finally {
    await close();
  }
}

await play("monkey", act);
