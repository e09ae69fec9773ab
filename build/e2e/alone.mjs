// Nothing leaks: the production program, window and commands, is watched while it
// works, in a network namespace of its own that leads nowhere. It asks for no
// address of the internet, opens no port, and needs none; and what it writes is
// for its owner alone.
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { asks, find, load } from "./picture.mjs";
import { program } from "./program.mjs";
import { ended, play, root, run, same, sleep, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4");

/** The first way that this machine allows of being cut off from every network. */
async function cutOff() {
  for (const way of [["unshare", "-n"], ["unshare", "-r", "-n"]]) {
    const worked = await run(way[0], [...way.slice(1), "true"]).then(() => true, () => false);
    if (worked) return way;
  }
  return []; // watched all the same
}

/** What a traced program has asked the network for, apart from this computer's own sockets. */
function asked(log) {
  const lines = readFileSync(log, "utf8").split("\n");
  return lines.filter((l) => /\bAF_INET6?\b|\bAF_PACKET\b/.test(l) || (/\b(listen|accept4?)\(/.test(l) && !/AF_UNIX/.test(l) && !unix(l, lines)));
}

/** Whether a call is about a socket that was made for this computer alone. */
function unix(line, lines) {
  const fd = /\b(?:listen|accept4?)\((\d+)/.exec(line)?.[1];
  return lines.some((l) => l.includes("socket(AF_UNIX") && l.trimEnd().endsWith(`= ${fd}`));
}

async function coach(stage, report) {
  const library = join(stage.dir, "library");
  const away = await cutOff();
  const traced = (log, ...args) => [...away, "strace", "-f", "-qq", "-e", "trace=%network", "-o", log, program, "--library", library, ...args];
  const page = join(stage.dir, "page.html");

  await report.check("the commands ask the network for nothing", async () => {
    const commands = [
      ["add", clip, "--session", "2026-03-14"],
      ["frames", clip],
      ["contacts", clip],
      ["still", clip, "--frame", "3", "--out", join(stage.dir, "stills")],
      ["summary", "--format", "html", "--out", page],
      ["check"],
      ["backup", join(stage.dir, "safe.db")],
      ["restore", join(stage.dir, "safe.db")],
    ];
    for (const [i, args] of commands.entries()) {
      const log = join(stage.dir, `command-${i}.strace`);
      const [file, ...rest] = traced(log, ...args);
      await run(file, rest);
      same(asked(log), [], `what ${args[0]} asked for`);
    }
  });

  await report.check("what is written is for its owner alone", async () => {
    for (const path of [library, join(library, "backups"), join(stage.dir, "stills")]) same((statSync(path).mode & 0o777).toString(8), "700", path);
    const files = [page, join(stage.dir, "safe.db"), ...[library, join(library, "backups"), join(stage.dir, "stills")].flatMap(inside)];
    for (const file of files) same((statSync(file).mode & 0o777).toString(8), "600", file);
  });

  await stage.screen("1600x1000");
  await stage.managed();
  const log = join(stage.dir, "window.strace");
  await report.check("the window works without a network, opens no port and asks for none", async () => {
    const [file, ...args] = traced(log);
    const window = stage.start("window", file, args);
    const shot = join(stage.dir, "shot.png");
    const id = await until("the window", async () => (await run("xdotool", ["search", "--onlyvisible", "--name", "^Strokeledger"], { env: stage.env })).stdout.trim().split("\n")[0], 60000);
    const look = async () => {
      await run("import", ["-silent", "-window", id, shot], { env: stage.env });
      return load(shot);
    };
    await until("the question who is marking", async () => asks(await look()), 60000);
    for (const key of ["K", "i", "m", "Return"]) await run("xdotool", ["key", "--delay", "40", key], { env: stage.env });
    await until("the clip in it", async () => find(await look(), 16 / 9), 60000);
    same(await ports(away.length > 0), [], "the ports that are open");
    await sleep(3000); // whatever it does of its own accord when it is left alone
    same(await ports(away.length > 0), [], "the ports that are open");
    for (const key of ["Return", "Right", "F7", "F8", "F5"]) {
      await run("xdotool", ["key", "--delay", "100", key], { env: stage.env });
      await sleep(300);
    }
    await run("xdotool", ["key", "alt+F4"], { env: stage.env });
    if (!(await ended(window))) throw new Error("the window does not close");
    same(asked(log), [], "what the window asked for");
  });

  await report.check("its complaints name nobody", async () => {
    const said = readFileSync(join(stage.dir, "window.log"), "utf8");
    if (/Coach|a01_baseline/.test(said)) throw new Error(`it said: ${said}`);
  });
}

function inside(dir) {
  return readdirSync(dir).map((name) => join(dir, name)).filter((f) => statSync(f).isFile());
}

/**
 * The sockets of the internet that are open where the window runs. Cut off, all
 * of that namespace's are its own; else those count that belong to the program or
 * to the page's engine.
 */
async function ports(cut) {
  const { stdout } = await run("pgrep", ["-x", "strokeledger"]);
  const pid = stdout.trim().split("\n").at(-1);
  if (cut) return ["tcp", "tcp6", "udp", "udp6", "raw", "raw6"].flatMap((kind) => readFileSync(`/proc/${pid}/net/${kind}`, "utf8").trim().split("\n").slice(1));
  const all = (await run("ss", ["-Hntuap"])).stdout.split("\n");
  return all.filter((l) => /"(strokeledger|WebKit[^"]*)"/.test(l));
}

await play("alone", coach);
