// What the end-to-end tests stand on: a screen that nobody sees, programs that
// are ended whatever happens, and a report of one line a check.
import { execFile, spawn } from "node:child_process";
import { mkdtempSync, openSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

export const root = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
export const run = promisify(execFile);
export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));

/** Asks again until the answer is true enough, and returns it. */
export async function until(what, ask, ms = 20000) {
  const end = Date.now() + ms;
  let last = "";
  for (;;) {
    try {
      const answer = await ask();
      if (answer) return answer;
    } catch (cause) {
      last = `: ${cause.message}`;
    }
    if (Date.now() > end) throw new Error(`waited ${ms / 1000} s for ${what}${last}`);
    await sleep(50);
  }
}

/** A free TCP port of this machine. */
export function freePort() {
  return new Promise((done, failed) => {
    const server = createServer();
    server.on("error", failed);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });
}

/** A scratch folder, an unseen screen and the programs started on it. */
export class Stage {
  #programs = [];

  constructor(name) {
    this.dir = mkdtempSync(join(tmpdir(), `strokeledger-${name}-`));
  }

  /** Starts Xvfb on a free display of its own choosing. */
  async screen(size) {
    const xvfb = spawn("Xvfb", ["-displayfd", "3", "-screen", "0", `${size}x24`, "-nolisten", "tcp"], {
      stdio: ["ignore", "ignore", "ignore", "pipe"],
    });
    this.#programs.push(xvfb);
    let told = "";
    xvfb.stdio[3].on("data", (d) => (told += d));
    xvfb.on("error", (cause) => (told = `!${cause.message}`));
    await until("Xvfb", () => told.endsWith("\n") || told.startsWith("!"));
    if (told.startsWith("!")) throw new Error(`Xvfb does not start: ${told.slice(1)}`);
    this.env = { ...process.env, XDG_CONFIG_HOME: join(this.dir, "config"), DISPLAY: `:${told.trim()}`, WAYLAND_DISPLAY: "", GDK_BACKEND: "x11" };
  }

  /** Starts a window manager, which gives windows their focus and their end. */
  async managed() {
    this.start("manager", "openbox", ["--sm-disable"]);
    await until("the window manager", async () => (await run("xdotool", ["get_num_desktops"], { env: this.env })).stdout);
  }

  /** Starts a program on the screen; what it says goes to a file of that name. */
  start(name, file, args, env = {}) {
    const log = openSync(join(this.dir, `${name}.log`), "w");
    const program = spawn(file, args, { env: { ...this.env, ...env }, stdio: ["ignore", log, log] });
    this.#programs.push(program);
    return program;
  }

  /** Ends every program that was started here, newest first, and removes the folder. */
  async strike() {
    for (const program of this.#programs.reverse()) {
      await ended(program, "SIGTERM", 5000);
      await ended(program, "SIGKILL", 5000);
    }
    rmSync(this.dir, { recursive: true, force: true });
  }
}

/** Waits until a program has ended, after asking it to with a signal if given. */
export async function ended(program, signal, ms = 20000) {
  if (program.exitCode !== null || program.signalCode !== null || program.pid === undefined) return true;
  const over = new Promise((done) => program.once("exit", () => done(true)));
  if (signal) program.kill(signal);
  return Promise.race([over, sleep(ms).then(() => false)]);
}

/** Runs checks in order and prints "ok NAME" or "not ok NAME: reason". */
export class Report {
  failed = 0;

  async check(name, work) {
    const begun = Date.now();
    try {
      await work();
      console.log(`ok ${name} (${Date.now() - begun} ms)`);
    } catch (cause) {
      this.failed++;
      console.log(`not ok ${name}: ${String(cause.message).replaceAll("\n", " | ")}`);
      throw cause; // what follows stands on it
    }
  }
}

/** Runs one play of checks on a stage, strikes it and sets the exit code. */
export async function play(name, act) {
  const stage = new Stage(name);
  const report = new Report();
  try {
    await act(stage, report);
  } catch (cause) {
    if (report.failed === 0) console.log(`not ok ${name}: ${cause.stack.replaceAll("\n", " | ")}`);
    process.exitCode = 1;
  } finally {
    await stage.strike();
  }
}

export function same(got, want, what) {
  const [g, w] = [JSON.stringify(got), JSON.stringify(want)];
  if (g !== w) throw new Error(`${what} is ${g}, not ${w}`);
}
