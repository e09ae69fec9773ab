// The program under test: the development build, whose real backend a browser
// can talk to, and the ledger that it leaves behind.
import { createRequire } from "node:module";
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from "node:fs";
import { join } from "node:path";
import { ended, freePort, root, run, sleep, until } from "./stage.mjs";

const { chromium } = createRequire(join(root, "frontend/package.json"))("playwright-core");

export const program = join(root, "build/bin/strokeledger");
const developer = join(root, "build/bin/strokeledger-dev");

/** Starts the development build on a library; returns its address. */
export async function serve(stage, library) {
  return (await started(stage, library)).address;
}

/** Starts the development build on a library, one of several; `end` closes its window, on a stage that is managed. */
export async function started(stage, library, name = "backend") {
  const address = `127.0.0.1:${await freePort()}`;
  const server = stage.start(name, developer, ["--library", library], { devserver: address });
  const said = () => readFileSync(join(stage.dir, `${name}.log`), "utf8").slice(-2000);
  await until(
    "the backend",
    async () => {
      if (server.exitCode !== null) throw new Error(`it ended: ${said()}`);
      const answer = await fetch(`http://${address}/`).catch(() => null);
      if (!answer?.ok) throw new Error(`it answers ${answer?.status ?? "nothing"}: ${said()}`);
      return true;
    },
    60000,
  );
  const end = async () => {
    const { stdout } = await run("xdotool", ["search", "--onlyvisible", "--pid", `${server.pid}`], { env: stage.env });
    await run("xdotool", ["windowactivate", "--sync", stdout.split("\n")[0], "key", "alt+F4"], { env: stage.env });
    if (!(await ended(server))) throw new Error("the program goes on after its window was closed");
  };
  return { address: `http://${address}/`, end };
}

/** Chooses a file in a dialog of the desktop's own, as a hand would: by its path and Enter. The stage has to be managed. */
export async function chooseFile(stage, title, path) {
  const tool = async (...args) => (await run("xdotool", args, { env: stage.env })).stdout.trim();
  const shown = () => tool("search", "--onlyvisible", "--name", `^${title}$`).catch(() => "");
  const id = await until(`the dialog ${title}`, async () => (await shown()).split("\n")[0]);
  await tool("windowactivate", "--sync", id);
  for (const key of ["ctrl+l", "ctrl+a"]) await tool("key", "--clearmodifiers", key);
  await tool("type", "--delay", "5", path);
  // The first Enter may only take what the desktop proposes for the path.
  await until(`the dialog ${title} to close`, async () => {
    if ((await shown()) === "") return true;
    if ((await tool("getwindowfocus")) === id) await tool("key", "Return");
    await sleep(300);
    return false;
  });
}

/** Opens a page in headless Chromium, ready for use; `close` ends the browser. */
export async function open(address, size = { width: 1440, height: 900 }) {
  const executablePath = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
  const browser = await chromium.launch({
    executablePath,
    // Without its sandbox, which needs rights that root in a container lacks, and
    // without the calls home that a browser makes.
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
  const page = await browser.newPage({ viewport: size });
  const complaints = [];
  // Wails' own script of the development build trips over a page without a body.
  page.on("pageerror", (e) => e.stack.includes("/wails/ipc.js") || complaints.push(e.stack));
  page.on("console", (m) => m.type() === "error" && complaints.push(`${m.text()} ${m.location().url}`));
  await page.goto(address);
  await page.waitForFunction(() => window.go?.main?.Library);
  return { page, complaints, close: () => browser.close() };
}

/**
 * The folder of an invented club, of which tests take copies. Drawing one takes half a
 * minute, so each build of the program draws it once; two tests that begin together need it
 * drawn before.
 */
export async function drawnClub() {
  const clubs = join(root, "build/bin/clubs");
  const drawn = join(clubs, `${statSync(program).mtimeMs}`);
  if (!existsSync(drawn)) {
    mkdirSync(clubs, { recursive: true });
    for (const old of readdirSync(clubs)) rmSync(join(clubs, old), { recursive: true, force: true });
    const drawing = `${drawn}-${process.pid}`;
    await run(program, ["demo", drawing, "--seed", "7"], { maxBuffer: 1 << 24 });
    renameSync(drawing, drawn);
  }
  return drawn;
}

/**
 * An invented club of the stage's own, whatever is done to it; returns its folder, in
 * which the library and truth.json lie.
 */
export async function inventedClub(stage) {
  const drawn = await drawnClub();
  const club = join(stage.dir, "club");
  await run("cp", ["-a", drawn, club]);
  // Clips lie where they lay when they were added.
  const at = "instr(path, '/clips/')";
  await run("sqlite3", [join(club, "library/ledger.db"), `UPDATE clip SET path = '${club}' || substr(path, ${at}) WHERE ${at} > 0`]);
  return club;
}

/** Rows of the ledger on disk, read with SQLite's own shell, never written. */
export async function ledger(library, query) {
  const { stdout } = await run("sqlite3", ["-readonly", "-json", join(library, "ledger.db"), query]);
  return stdout.trim() ? JSON.parse(stdout) : [];
}
