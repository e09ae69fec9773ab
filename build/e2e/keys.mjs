// Random keys of the program, and clicks, over the invented club in the real window
// on an unseen screen: the rows of build/bench.sh keys. Nothing may be complained of,
// no row may go, and memory must level off.
import { execFile } from "node:child_process";
import { mkdirSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { ledger, program } from "./program.mjs";
import { ended, play, run, sleep, until } from "./stage.mjs";

const [keys = 8000, seed = 1] = process.argv.slice(2).map(Number);
const EVERY = 500; // keys between two looks at the memory
if (!(keys >= 8 * EVERY)) throw new Error(`${8 * EVERY} keys are the fewest that say something`);
// MB by which the least memory in the last quarter of the looks may lie above that in
// the quarter before. Which three clips are open, and what waits to be cleared, makes
// looks differ by up to 80: a slow leak shows in more keys.
const BOUND = 30;
const [WIDTH, HEIGHT] = [1366, 768];

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

/** What is pressed, as the screen's server spells it, by how often. */
const chords = [
  [10, ["Left", "Right", "shift+Left", "shift+Right", "Prior", "Next", "period", "comma"]],
  [6, ["Up", "Down", "Home", "End", "space", "Return", "Escape", "Tab", "shift+Tab"]],
  [4, [..."abcdefghijklmnopqrstuvwxyz0123456789"]],
  [3, ["minus", "slash", "equal", "bracketleft", "bracketright", "semicolon", "colon", "plus", "BackSpace", "exclam", "less", "greater",
    "parenleft", "parenright", "asterisk", "braceleft", "braceright", "ampersand", "bar", "numbersign", "question", "Delete"]],
  [3, ["ctrl+z", "ctrl+shift+z", "ctrl+y", "ctrl+f", "ctrl+b", "ctrl+g", "ctrl+Left", "ctrl+Right", "ctrl+Up", "ctrl+Down", "ctrl+Return",
    "ctrl+Delete", "shift+Return", "alt+Left", "alt+Right"]],
  [2, ["F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10"]],
];

/** Draws what a hand without a plan does next, as lines for xdotool; `keys` is how many presses it counts for, `opens` whether it may open a dialog of the desktop's own. */
function deed(random, id) {
  const among = (list) => list[Math.floor(random() * list.length)];
  const all = chords.reduce((sum, [weight]) => sum + weight, 0);
  const chord = () => {
    let left = random() * all;
    return among((chords.find(([weight]) => (left -= weight) < 0) ?? chords[0])[1]);
  };
  const place = () => `mousemove --window ${id} ${Math.floor(random() * WIDTH)} ${Math.floor(random() * HEIGHT)}`;
  switch (Math.floor(random() * 20)) {
    case 0:
    case 1:
      return { keys: 1, opens: true, lines: [place(), "click 1"] };
    case 2: {
      const times = 5 + Math.floor(random() * 15); // held
      return { keys: times, lines: [`key --delay 30 --repeat ${times} ${among(chords[0][1])}`] };
    }
    case 3: // to another clip
      return { keys: 5, lines: ["key --delay 60 Escape F5", `key --delay 30 ${among(["Left", "Right", "Up", "Down"])}`, `key --delay 30 ${among(["Left", "Right", "Up", "Down"])}`, "key Return"] };
    default: {
      const pressed = chord();
      return { keys: 1, opens: /Return|space|Insert/.test(pressed), lines: [`key ${pressed}`] };
    }
  }
}

/** Runs a script of xdotool. */
function script(stage, lines) {
  return new Promise((done, failed) => {
    const tool = execFile("xdotool", ["-"], { env: stage.env, timeout: 60000 }, (cause, out) => (cause ? failed(cause) : done(out.trim())));
    tool.stdin.end(lines.join("\n") + "\n");
  });
}

/** Memory of this screen's process whose name begins so, MB: all that is in memory, and what is its own and no file's. */
function memory(stage, name) {
  for (const pid of readdirSync("/proc").filter((p) => /^\d+$/.test(p))) {
    try {
      if (!readFileSync(`/proc/${pid}/comm`, "utf8").startsWith(name)) continue;
      if (!readFileSync(`/proc/${pid}/environ`, "utf8").split("\0").includes(`DISPLAY=${stage.env.DISPLAY}`)) continue;
      const told = readFileSync(`/proc/${pid}/smaps_rollup`, "utf8");
      const field = (what) => Number(new RegExp(`^${what}:\\s+(\\d+)`, "m").exec(told)[1]) / 1000;
      return { all: field("Rss"), own: field("Anonymous") };
    } catch {
      continue; // it ended while it was looked at
    }
  }
  throw new Error(`no ${name} on this screen`);
}

const tables = ["coach", "player", "drill", "fault", "session", "clip", "turn", "stroke", "mark", "look"];

/** The rows that there are, tombstones too, and where the log of changes begins. */
async function rows(library) {
  const ids = await ledger(library, tables.map((t) => `SELECT '${t} ' || id AS id FROM ${t}`).join(" UNION ALL "));
  const [{ first, log }] = await ledger(library, "SELECT (SELECT id FROM change ORDER BY seq LIMIT 1) AS first, count(*) AS log FROM change");
  return { ids: new Set(ids.map((r) => r.id)), first, log };
}

async function monkey(stage, report) {
  const library = join(stage.dir, "club", "library");
  await stage.screen(`${WIDTH}x${HEIGHT + 40}`);
  await stage.managed();
  await run(program, ["demo", join(stage.dir, "club")], { maxBuffer: 1 << 24 });
  const home = join(stage.dir, "home"); // whatever is written out goes here
  mkdirSync(home);
  const window = stage.start("window", program, ["--library", library], { HOME: home });
  const tool = async (...args) => (await run("xdotool", args, { env: stage.env })).stdout.trim();
  const id = await until("the window", async () => (await tool("search", "--onlyvisible", "--name", "^Strokeledger")).split("\n")[0], 60000);
  await until("its focus", async () => (await tool("getwindowfocus")) === id);
  await tool("windowsize", id, `${WIDTH}`, `${HEIGHT}`);
  await tool("windowmove", id, "0", "20");
  await sleep(3000);
  await tool("key", "--delay", "60", "K", "i", "m", "Return");

  const random = numbers(seed);
  const looks = [];
  let before = await rows(library);
  console.log("| keys | program, MB | its own | web process, MB | its own | changes |\n|---|---|---|---|---|---|");
  const look = async (done) => {
    // At rest, on the screen that shows least.
    await script(stage, ["key --delay 80 Escape Escape Escape F5 Escape"]);
    await sleep(4000);
    const now = await rows(library);
    if (now.first !== before.first) console.log("| a player was forgotten, or the library went back to a backup | | | | | |");
    else {
      const lost = [...before.ids].filter((id) => !now.ids.has(id));
      if (lost.length > 0) throw new Error(`rows that are gone: ${lost}`);
      if (now.log < before.log) throw new Error(`the log of changes has ${now.log} entries after ${before.log}`);
    }
    before = now;
    const [p, w] = [memory(stage, "strokeledger"), memory(stage, "WebKitWeb")];
    looks.push({ program: p.own, web: w.own });
    console.log(`| ${done} | ${p.all.toFixed(0)} | ${p.own.toFixed(0)} | ${w.all.toFixed(0)} | ${w.own.toFixed(0)} | ${now.log} |`);
  };

  for (let done = 0, next = 0; ; ) {
    if (done >= next) {
      await look(done);
      next += EVERY;
      if (done >= keys) break;
    }
    const lines = [];
    for (let count = 0, opens = false; count < 10 && !opens; ) {
      const d = deed(random, id);
      lines.push(...d.lines, "sleep 0.03");
      [count, done, opens] = [count + d.keys, done + d.keys, d.opens];
      if (opens) lines.push("sleep 0.25"); // in one of the desktop's own a key could choose another library
    }
    await script(stage, lines);
    if (window.exitCode !== null || window.signalCode !== null) throw new Error(`the program ended: ${window.exitCode ?? window.signalCode}`);
    for (let tries = 0; (await tool("getwindowfocus")) !== id; tries++) {
      if (tries > 20) throw new Error("a window of the desktop's own does not close");
      await tool("key", "--delay", "60", "Escape"); // a dialog of the desktop's own
      await sleep(200);
    }
  }

  await report.check("the library is still the one in the window", async () => {
    if (!readdirSync(library).some((n) => n.startsWith(`.in-use-${window.pid}-`))) throw new Error("another one is open");
  });
  await report.check("the window closes", async () => {
    await tool("key", "alt+F4");
    if (!(await ended(window))) throw new Error("the program goes on after its window was closed");
    if (window.exitCode !== 0) throw new Error(`the exit code is ${window.exitCode}`);
  });
  await report.check("nothing was complained of", async () => {
    // What the desktop's own libraries miss on a screen without a desktop is theirs.
    const theirs = /^(\*\* )?\((strokeledger|WebKit\w+|process):\d+\): (\w+-)?(WARNING|CRITICAL|Message)|^\*\* \(\w+:\d+\): |^Overriding existing handler for signal|^$/;
    const said = readFileSync(join(stage.dir, "window.log"), "utf8").split("\n").filter((l) => !theirs.test(l.trim()) && !/^gc \d+ @/.test(l));
    if (said.length > 0) throw new Error(said.slice(0, 20).join("\n"));
  });
  await report.check("the ledger is whole", async () => {
    const [{ integrity_check: whole }] = await ledger(library, "PRAGMA integrity_check");
    if (whole !== "ok") throw new Error(whole);
    const now = await rows(library);
    if (now.first === before.first && [...before.ids].some((id) => !now.ids.has(id))) throw new Error("rows are gone after closing");
  });
  for (const [what, name] of [["program", "the program's"], ["web", "the web process's"]]) {
    await report.check(`${name} memory levels off`, async () => {
      const list = looks.map((l) => l[what]);
      const quarter = Math.floor(list.length / 4);
      const growth = Math.min(...list.slice(-quarter)) - Math.min(...list.slice(-2 * quarter, -quarter));
      console.log(`${what}: ${growth.toFixed(1)} MB over the last half; ${BOUND} at most`);
      if (!(growth <= BOUND)) throw new Error(`it grew by ${growth.toFixed(1)} MB from the third quarter to the last`);
    });
  }
}

await play("keys", monkey);
