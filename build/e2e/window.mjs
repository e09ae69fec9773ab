// The real window, as a coach uses it: the production program on an unseen
// screen, driven by keys alone, judged by what stands on the screen
// and by what is in the ledger afterwards.
import { join } from "node:path";
import { checkDocuments, checkPicture, checkTwoAndDrawn, openers } from "./desktop.mjs";
import { asks, difference, find, liveliness, load, number } from "./picture.mjs";
import { inventedClub, ledger, program } from "./program.mjs";
import { ended, play, root, run, same, sleep, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4"); // 75 frames of 320 × 180, each showing its number
const marks = "SELECT mark.frame, fault.key FROM mark JOIN fault ON fault.id = mark.fault_id WHERE mark.gone = 0 ORDER BY mark.frame";

async function coach(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1600x1000");
  await stage.managed();
  await run(program, ["--library", library, "add", clip, "--session", "2026-03-02"]);

  const [fault] = await ledger(library, "SELECT key FROM fault WHERE gone = 0 AND retired = 0 AND key <> '' ORDER BY key LIMIT 1");

  let window;
  let before;
  await report.check("the window opens and is not blank", async () => {
    window = await Window.open(stage, library);
    await until("the question who is marking", async () => asks(await window.shoot()));
    for (const key of ["K", "i", "m", "Return"]) await window.key(key);
    await until("the coach's name in the ledger", async () => (await ledger(library, "SELECT name FROM coach"))[0].name === "Kim");
    before = await drawn(window);
  });

  let picture;
  await report.check("the first key, without a click, shows the clip's first frame", async () => {
    await window.key("Return");
    picture = await until("the test picture, large", async () => {
      const found = find(await window.shoot(), 16 / 9);
      return found && found.width > 500 && found;
    });
    same(await window.number(picture), 0, "the frame shown");
    const changed = difference(before, await window.shoot(), picture);
    if (changed < 0.2) throw new Error(`only ${changed} of the picture's place has changed`);
  });

  let shown;
  await report.check("twelve presses of a key are twelve frames", async () => {
    const start = await window.shoot();
    for (let i = 0; i < 12; i++) await window.key("Right");
    await until("frame 12 in the window", async () => (await window.number(picture)) === 12);
    shown = await window.shoot();
    if (difference(start, shown, picture) < 0.02) throw new Error("the picture has not changed");
    await window.key("Right");
    await window.key("Left");
    await until("frame 12 again", async () => (await window.number(picture)) === 12);
  });

  await checkPicture(report, window, 12);
  await checkTwoAndDrawn(report, window, 12, (sql) => ledger(library, sql));

  await report.check("one key is one mark, on disk and on screen", async () => {
    await window.key(fault.key);
    await until("the mark in the ledger", async () => (await ledger(library, marks)).length === 1);
    same(await ledger(library, marks), [{ frame: 12, key: fault.key }], "the ledger");
    await until("the mark on the screen", async () => difference(shown, await window.shoot(), { x: 0, y: 0, width: shown.width, height: shown.height }) > 0.0002);
  });

  let place;
  await report.check("the window closes, and the mark is still in the ledger", async () => {
    await window.size(1300, 800, 120, 60);
    place = await window.geometry();
    await sleep(2000); // where the clip stands is kept
    await window.close();
    same(await ledger(library, marks), [{ frame: 12, key: fault.key }], "the ledger");
    same((await ledger(library, "PRAGMA integrity_check"))[0].integrity_check, "ok", "the ledger's integrity");
  });

  await report.check("after a new start undo takes the mark back", async () => {
    window = await Window.open(stage, library);
    await drawn(window);
    await window.key("ctrl+z");
    await until("an empty ledger", async () => (await ledger(library, marks)).length === 0);
  });

  await report.check("the window is where it was and as large, and one key shows the clip at its frame", async () => {
    same(await window.geometry(), place, "its place and size");
    await window.key("F6");
    await until("frame 12", async () => {
      const found = find(await window.shoot(), 16 / 9);
      return found && found.width > 500 && (await window.number(found)) === 12;
    });
    await window.key("F5");
    await drawn(window);
  });

  await report.check("a clip plays, and a key stops it at the frame on the screen", async () => {
    await window.key("Return");
    picture = await until("the test picture, large", async () => {
      const found = find(await window.shoot(), 16 / 9);
      return found && found.width > 500 && found;
    });
    await window.key("ctrl+Down");
    await window.key("space");
    const seen = [];
    await until("pictures that move", async () => {
      const n = await window.number(picture);
      if (n !== null && n !== seen.at(-1)) seen.push(n);
      return seen.length > 3;
    });
    await window.key("space");
    await until("a picture that stands", async () => (await window.number(picture)) === (await window.number(picture)));
    const stood = await window.number(picture);
    if (seen.some((n, i) => i > 0 && n < seen[i - 1]) || stood < seen.at(-1)) throw new Error(`the pictures came as ${seen}, ${stood}`);
    await window.key("question");
    await until("the keys over the picture", async () => !find(await window.shoot(), 16 / 9));
    await window.key("Escape");
    await until("the same frame", async () => (await window.number(picture)) === stood);
    await window.key(fault.key);
    await until("the mark in the ledger", async () => (await ledger(library, marks)).length === 1);
    same((await ledger(library, marks))[0].frame, stood, "the frame of a mark made then");
    await window.key("ctrl+z");
    await until("an empty ledger", async () => (await ledger(library, marks)).length === 0);
    await window.close();
  });

  const desk = openers(stage.dir);
  await report.check("a turn is looked through in a pass, its fault on its stroke", async () => {
    const club = await inventedClub(stage);
    const demo = join(club, "library");
    await run("sqlite3", [join(demo, "ledger.db"), "DELETE FROM look; DELETE FROM mark"]);
    window = await Window.open(stage, demo, desk.env);
    await until("the cards", async () => {
      const shot = await window.shoot();
      return quarters(shot).every((q) => liveliness(shot, q) >= 12);
    });
    const cards = await window.shoot();
    await window.key("shift+Return"); // over the first card's clip
    await until("the pass, over all of the window", async () => difference(cards, await window.shoot(), { x: 0, y: 0, width: cards.width, height: cards.height * 0.7 }) > 0.5);
    await window.key("l");
    await until("the mark on a stroke", async () => (await ledger(demo, "SELECT 1 FROM mark m JOIN stroke s ON s.id = m.stroke_id WHERE m.gone = 0")).length === 1);
    const looks = "SELECT t.id FROM look l JOIN turn t ON t.clip_id = l.clip_id AND t.first = l.first AND t.last = l.last WHERE l.gone = 0 AND l.assumed = 0";
    await until("the turn looked through", async () => (await ledger(demo, looks)).length > 0, 60000);
    await window.key("Escape");
  });
  await checkDocuments(report, window, desk);
  await window.close();
}

/** One window of the program on the stage's screen. */
class Window {
  #shots = 0;

  static async open(stage, library, env = {}) {
    const w = new Window();
    w.stage = stage;
    w.process = stage.start("window", program, ["--library", library], env);
    w.id = await until("the window", async () => (await w.#tool("search", "--onlyvisible", "--name", "^Strokeledger")).split("\n")[0]);
    await until("its focus", async () => (await w.#tool("getwindowfocus")) === w.id);
    return w;
  }

  async #tool(...args) {
    return (await run("xdotool", args, { env: this.stage.env })).stdout.trim();
  }

  key(name) {
    return this.#tool("key", "--delay", "40", name);
  }

  type(text) {
    return this.#tool("type", "--delay", "20", text);
  }

  /** Turns the wheel forward so often over a place of the window. */
  wheel(x, y, times) {
    return this.#tool("mousemove", "--window", this.id, `${Math.round(x)}`, `${Math.round(y)}`, "click", "--delay", "60", "--repeat", `${times}`, "4");
  }

  async drag([x, y], [toX, toY]) {
    const to = (a, b) => ["mousemove", "--window", this.id, `${Math.round(a)}`, `${Math.round(b)}`];
    await this.#tool(...to(x, y), "mousedown", "1");
    await this.#tool(...to((x + toX) / 2, (y + toY) / 2));
    await this.#tool(...to(toX, toY));
    await this.#tool("mouseup", "1");
  }

  click(x, y) {
    return this.#tool("mousemove", "--window", this.id, `${Math.round(x)}`, `${Math.round(y)}`, "click", "1");
  }

  /** Its corner on the screen and its size, pixels. */
  async geometry() {
    const told = await this.#tool("getwindowgeometry", "--shell", this.id);
    return ["X", "Y", "WIDTH", "HEIGHT"].map((what) => Number(new RegExp(`^${what}=(-?\\d+)`, "m").exec(told)[1]));
  }

  async screen() {
    return (await this.#tool("getdisplaygeometry")).split(" ").map(Number);
  }

  async size(width, height, x = 20, y = 30) {
    await this.#tool("windowsize", this.id, `${width}`, `${height}`, "windowmove", this.id, `${x}`, `${y}`);
    await until("its size", async () => same((await this.geometry()).slice(2), [width, height], "its size") ?? true);
  }

  /** Whether another window whose name fits is on the screen. */
  async other(name) {
    const all = await this.#tool("search", "--onlyvisible", "--name", name).catch(() => "");
    const [mine, others] = [await this.#tool("getwindowname", this.id), all.split("\n").filter((id) => id && id !== this.id)];
    for (const id of others) {
      const called = await this.#tool("getwindowname", id).catch(() => "");
      if (called && called !== mine && !/openbox/i.test(called)) return called;
    }
    return "";
  }

  async shoot() {
    const file = join(this.stage.dir, `shot-${this.#shots++}.png`);
    await run("import", ["-silent", "-window", this.id, file], { env: this.stage.env });
    return load(file);
  }

  async number(picture) {
    return number(await this.shoot(), picture);
  }

  /** Closes the window as its frame would, and waits for the program's end. */
  async close() {
    await this.key("alt+F4");
    if (!(await ended(this.process))) throw new Error("the program goes on after its window was closed");
    same(this.process.exitCode, 0, "the exit code");
  }
}

/** Waits until the window shows the clip's card, and returns that picture of it. */
function drawn(window) {
  return until("the clip's card in the window", async () => {
    const shot = await window.shoot();
    const lively = quarters(shot).map((q) => liveliness(shot, q));
    if (Math.max(...lively) < 12) throw new Error(`the window is blank: ${lively.map((v) => v.toFixed(1))}`);
    return find(shot, 16 / 9) && shot;
  });
}

function quarters({ width, height }) {
  const [w, h] = [width / 2, height / 2];
  return [0, 1, 2, 3].map((i) => ({ x: (i % 2) * w, y: Math.floor(i / 2) * h, width: w, height: h }));
}

await play("window", coach);
