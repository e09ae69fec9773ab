// How the real window plays: the rows of the table of build/bench.sh window. A
// clip whose pictures show their numbers plays in the production program on an
// unseen screen, and a thin strip across the numbers is filmed off that screen
// 150 times a second. Nothing in the program or the page is told of it.
//
//   node build/e2e/playing.mjs growth    only how much the web process grows
import { spawn } from "node:child_process";
import { existsSync, readdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { find, load } from "./picture.mjs";
import { program } from "./program.mjs";
import { play, run, sleep, until } from "./stage.mjs";

const FPS = 60;
const SECONDS = 24;
const SAMPLES = 150; // a second: twice while each picture is seen
const STEPS = Number(process.argv[3] ?? 20_000);

/** Makes 1080p60 H.264 at 10 Mbit/s whose pictures carry the code that picture.mjs reads. */
async function film(dir) {
  const to = join(process.env.STROKELEDGER_BENCH_CLIPS ?? dir, "numbers.mp4");
  if (existsSync(to)) return to; // made by an earlier run
  const rows = [];
  for (let n = 0; n < FPS * SECONDS; n++) {
    const bits = n.toString(2).padStart(12, "0");
    const odd = [...bits].filter((b) => b === "1").length % 2 === 0 ? "1" : "0";
    const code = [...`101${bits}${odd}`].map((b) => (b === "1" ? 255 : 0));
    rows.push(...code, ...code.map((v) => 255 - v));
  }
  const codes = join(dir, "codes.raw");
  writeFileSync(codes, Uint8Array.from(rows));
  const part = `${to}.part.mp4`;
  const colour = (c) => `color=c=${c}:s=640x134:r=${FPS}:d=${SECONDS}`;
  await run("ffmpeg", ["-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", "gray", "-s", "16x2", "-r", `${FPS}`, "-i", codes,
    "-f", "lavfi", "-i", colour("0xff0000"), "-f", "lavfi", "-i", colour("0x00b000"), "-f", "lavfi", "-i", colour("0x0000ff"),
    "-f", "lavfi", "-i", `testsrc2=s=1920x406:r=${FPS}:d=${SECONDS},noise=alls=12:allf=t`,
    "-filter_complex", "[0]scale=1920:540:flags=neighbor,format=yuv420p[c];[1][2][3]hstack=3,format=yuv420p[b];[c][b][4]vstack=3[v]",
    "-map", "[v]", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "10M", "-maxrate", "12M", "-bufsize", "20M",
    "-g", "250", "-keyint_min", "250", "-sc_threshold", "0", "-bf", "3", "-pix_fmt", "yuv420p",
    "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709", part]);
  renameSync(part, to);
  return to;
}

/** Films a strip of the screen for some seconds; returns the number in each sample, -1 where none can be read. */
async function watch(stage, { x, y, width, height }, seconds) {
  const w = Math.floor(width / 2) * 2;
  const grab = spawn("ffmpeg", ["-v", "error", "-f", "x11grab", "-draw_mouse", "0", "-framerate", `${SAMPLES}`, "-video_size", `${w}x2`,
    "-i", `${stage.env.DISPLAY}+${Math.round(x)},${Math.round(y + height / 8)}`,
    "-fps_mode", "passthrough", "-pix_fmt", "gray", "-f", "rawvideo", "-flush_packets", "1", "-"],
    { env: stage.env, stdio: ["ignore", "pipe", "ignore"] });
  const over = new Promise((done) => grab.once("close", done));
  const parts = [];
  let begun = 0;
  let last = 0;
  grab.stdout.on("data", (d) => {
    last = performance.now();
    begun ||= last;
    if (last - begun < seconds * 1000) parts.push(d);
    else grab.kill("SIGTERM");
  });
  await over;
  const all = Buffer.concat(parts);
  const numbers = [];
  for (let at = 0; at + 2 * w <= all.length; at += 2 * w) {
    const bits = Array.from({ length: 16 }, (_, i) => all[at + Math.floor(((i + 0.5) * w) / 16)] > 128);
    const odd = bits.slice(3).filter(Boolean).length % 2 === 1;
    const fits = bits[0] && !bits[1] && bits[2] && odd;
    numbers.push(fits ? bits.slice(3, 15).reduce((n, b) => 2 * n + (b ? 1 : 0), 0) : -1);
  }
  return { numbers, seconds: Math.min(seconds, (last - begun) / 1000) };
}

/** The pictures that were shown one after the other. */
function shown(numbers) {
  return numbers.filter((n) => n >= 0).filter((n, i, list) => i === 0 || n !== list[i - 1]);
}

/** Processes of the stage's screen by the beginning of their name. */
function processes(stage, name) {
  return readdirSync("/proc").filter((pid) => {
    try {
      if (!/^\d+$/.test(pid) || !readFileSync(`/proc/${pid}/comm`, "utf8").startsWith(name)) return false;
      if (name === "Xvfb") return readFileSync(`/proc/${pid}/cmdline`, "utf8").includes("1920x1180");
      return readFileSync(`/proc/${pid}/environ`, "utf8").split("\0").includes(`DISPLAY=${stage.env.DISPLAY}`);
    } catch {
      return false; // it ended while it was looked at
    }
  });
}

/**
 * Memory of the web process of the stage's window, MB: all of it, and what is its own and no
 * file's. It is looked at once the process has been idle for a second: keys may still wait.
 */
async function webMemory(stage) {
  const [pid] = processes(stage, "WebKitWeb");
  for (let idle = 0; idle < 2; ) {
    const before = processorTime(stage, ["WebKitWeb"]).WebKitWeb;
    await sleep(500);
    idle = processorTime(stage, ["WebKitWeb"]).WebKitWeb - before < 30 ? idle + 1 : 0;
  }
  const told = readFileSync(`/proc/${pid}/smaps_rollup`, "utf8");
  const field = (what) => Number(new RegExp(`^${what}:\\s+(\\d+)`, "m").exec(told)[1]) / 1000;
  return { all: field("Rss"), own: field("Anonymous") };
}

/** Milliseconds of processor time that processes have taken so far, by the beginning of their names. */
function processorTime(stage, names) {
  const ticks = (pid) => readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1].split(" ").slice(11, 13).reduce((a, b) => a + Number(b), 0);
  return Object.fromEntries(names.map((name) => [name, 10 * processes(stage, name).reduce((sum, pid) => sum + ticks(pid), 0)]));
}

/** How the pictures of one stretch of 10 s came: how many a second, at which gaps, at what cost. */
async function playing(stage, picture) {
  const names = ["strokeledger", "WebKit", "Xvfb"];
  const before = processorTime(stage, names);
  const { numbers, seconds } = await watch(stage, picture, 10);
  const after = processorTime(stage, names);
  const count = shown(numbers).length;
  const starts = numbers.flatMap((n, i) => (n >= 0 && n !== numbers[i - 1] ? [i] : []));
  const gaps = starts.slice(1).map((at, i) => ((at - starts[i]) * seconds) / numbers.length).sort((a, b) => a - b);
  return {
    rate: count / seconds,
    gap: gaps[Math.floor(0.95 * gaps.length)] * FPS,
    cost: names.map((name) => (after[name] - before[name]) / count),
  };
}

/** The cost of a picture in a general-purpose player on the same screen, of the same size, as fast as it can. */
async function elsewhere(stage, clip, width) {
  const before = processorTime(stage, ["Xvfb"]).Xvfb;
  const began = performance.now();
  const player = spawn("/usr/bin/time", ["-f", "%U %S", "mpv", "--no-config", "--vo=x11", "--untimed", "--no-audio", "--really-quiet", `--geometry=${width}x${Math.round((width * 9) / 16)}+20+40`, clip],
    { env: stage.env, stdio: ["ignore", "ignore", "pipe"] });
  let told = "";
  player.stderr.on("data", (d) => (told += d));
  await new Promise((done, failed) => player.once("close", done).once("error", failed));
  const seconds = (performance.now() - began) / 1000;
  const [user, system] = told.trim().split("\n").at(-1).split(" ").map(Number);
  const count = FPS * SECONDS;
  return { cost: [(1000 * (user + system)) / count, (processorTime(stage, ["Xvfb"]).Xvfb - before) / count], rate: count / seconds };
}

function row(what, goal, got, met) {
  console.log(`| 1080p60 H.264, real window | ${what} | ${goal} | ${got} | ${met ? "met" : "missed"} |`);
}

/** Opens the clip by its card and returns where its picture is on the screen. */
async function large(stage, key) {
  let shots = 0;
  const look = async () => {
    const file = join(stage.dir, `shot-${shots++}.png`);
    await run("import", ["-silent", "-window", "root", file], { env: stage.env });
    return find(await load(file), 16 / 9);
  };
  const card = await until("the clip's card", async () => {
    await key("Escape"); // a new library asks who is marking
    await sleep(1000);
    return look();
  }, 60000);
  let tries = 0;
  return until("the picture, large", async () => {
    if (tries++ % 4 === 0) {
      await run("xdotool", ["mousemove", `${Math.round(card.x + card.width / 2)}`, `${Math.round(card.y + card.height / 2)}`, "click", "1"], { env: stage.env });
    }
    await sleep(1000);
    const found = await look();
    return found && found.width > 2 * card.width && found;
  }, 60000);
}

/** Steps forward and back and says how much the web process has grown. */
async function growth(stage, key) {
  await key("Home");
  const walk = async (steps) => {
    for (let done = 0, way = "Right"; done < steps; done += 1000, way = way === "Right" ? "Left" : "Right") {
      await run("xdotool", ["key", "--delay", "8", "--repeat", "1000", way], { env: stage.env, timeout: 300000 });
    }
    return webMemory(stage);
  };
  const told = [await walk(4000)];
  for (let done = 0; done < STEPS; done += STEPS / 5) told.push(await walk(STEPS / 5));
  console.error(`the web process, MB after each fifth: ${told.map((m) => `${m.all.toFixed(0)} (${m.own.toFixed(0)} its own)`).join(", ")}`);
  const grown = told.at(-1).all - told[0].all;
  row(`growth of the web process over ${STEPS} steps`, "≤ 20 MB", `${grown.toFixed(1)} MB`, grown <= 20);
}

async function measure(stage) {
  const library = join(stage.dir, "library");
  await stage.screen("1920x1180");
  await stage.managed();
  const clip = await film(stage.dir);
  await run(program, ["--library", library, "add", clip, "--session", "2026-03-02"]);
  const window = stage.start("window", program, ["--library", library]);
  const tool = async (...args) => (await run("xdotool", args, { env: stage.env })).stdout.trim();
  const id = await until("the window", async () => (await tool("search", "--onlyvisible", "--name", "^Strokeledger")).split("\n")[0]);
  await until("its focus", async () => (await tool("getwindowfocus")) === id);
  await tool("windowsize", id, "1864", "1120");
  await tool("windowmove", id, "10", "20");
  const key = (...names) => tool("key", "--delay", "40", ...names);
  const picture = await large(stage, key);
  if (process.argv[2] === "growth") return growth(stage, key);
  console.error(`the picture is ${Math.round(picture.width)} wide on the screen; load ${readFileSync("/proc/loadavg", "utf8").split(" ")[0]}`);

  await key("Home");
  await sleep(1500);
  await key("space");
  await sleep(1000);
  const alone = await playing(stage, picture);
  await key("space");
  row("playing, frames shown a second", "≥ 58", alone.rate.toFixed(1), alone.rate >= 58);
  row("playing, 95 of 100 gaps between pictures, of the clip's own", "≤ 1.6", alone.gap.toFixed(2), alone.gap <= 1.6);
  const sum = alone.cost.reduce((a, b) => a + b);
  row("processor time a picture: program, page, X server", "≤ 20 ms", `${alone.cost.map((c) => c.toFixed(1)).join(" + ")} ms`, sum <= 20);
  const other = existsSync("/usr/bin/mpv") && (await elsewhere(stage, clip, Math.round(picture.width)));
  if (other) row("the same in `mpv --vo=x11 --untimed`: player, X server", "", `${other.cost.map((c) => c.toFixed(1)).join(" + ")} ms, ${other.rate.toFixed(0)} a second`, true);

  await key("Home");
  await sleep(1500);
  const busy = spawn("taskset", ["-c", "0", "sh", "-c", "while :; do :; done"], { stdio: "ignore" });
  await key("space");
  await sleep(1000);
  const beside = await playing(stage, picture);
  await key("space");
  busy.kill("SIGKILL");
  row("playing, one processor kept busy by something else, frames shown a second", "≥ 50", beside.rate.toFixed(1), beside.rate >= 50);

  await key("Home");
  await key("ctrl+Down", "ctrl+Down");
  await sleep(1500);
  await key("space");
  await sleep(500);
  const slow = shown((await watch(stage, picture, 20)).numbers);
  await key("space");
  const wrong = slow.filter((n, i) => i > 0 && n !== slow[i - 1] + 1).length;
  row("playing at 0.25×, frames left out or out of order", `0 of ${slow.length}`, `${wrong}`, wrong === 0 && slow.length > 250);

  await growth(stage, key);
  window.kill("SIGTERM");
}

await play("playing", measure);
