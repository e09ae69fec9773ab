// What the real window and the desktop do for each other: the picture by the wheel and over
// all of the screen, drawn on and beside another, a page printed and opened.
import { chmodSync, existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { asks, difference, find, number } from "./picture.mjs";
import { same, sleep, until } from "./stage.mjs";

/** Checks the wheel and the full screen on a window that shows frame n of a clip with numbers; leaves it there. */
export async function checkPicture(report, window, n) {
  const shown = async () => {
    const found = find(await window.shoot(), 16 / 9);
    return found && (await window.number(found)) === n && found;
  };
  let picture;
  await report.check("the wheel makes the picture larger at the pointer, one key shows all of it again", async () => {
    picture = await until(`frame ${n}`, shown);
    const before = await window.shoot();
    await window.wheel(picture.x + picture.width / 2, picture.y + 0.75 * picture.height, 4);
    await until("a larger picture", async () => {
      const now = await window.shoot();
      const code = await window.number(picture).catch(() => -1); // what is seen of it is another one, or none
      return difference(before, now, picture) > 0.2 && code !== n;
    });
    await window.key("ctrl+0");
    await until("all of the picture", async () => (await window.number(picture)) === n);
  });

  await report.check("F11 gives the picture all of the screen, and the window back as it was", async () => {
    const before = await window.geometry();
    const screen = await window.screen();
    await window.key("F11");
    await until("a window as large as the screen", async () => same((await window.geometry()).slice(2), screen, "its size") ?? true);
    const large = await until("the picture, larger", async () => {
      const found = await shown();
      return found && found.width > 1.05 * picture.width && found;
    });
    if (large.height < 0.8 * screen[1]) throw new Error(`the picture is ${large.height} of ${screen[1]} high`);
    await window.key("F11");
    await until("the window as it was", async () => same(await window.geometry(), before, "its place and size") ?? true);
    await until("the picture as it was", async () => Math.abs((await shown()).width - picture.width) < 3);
  });
}

/** Checks drawing and two pictures side by side on a window that shows frame n; `rows` reads the ledger. Leaves it there. */
export async function checkTwoAndDrawn(report, window, n, rows) {
  // The invented club has some already.
  const known = (await rows("SELECT id FROM drawing UNION SELECT id FROM pair")).map((r) => r.id);
  const fresh = async (query) => (await rows(query)).filter((r) => !known.includes(r.id));
  const kinds = async () => (await fresh("SELECT id, kind, frame FROM drawing WHERE gone = 0 ORDER BY id")).map((d) => `${d.kind} ${d.frame}`);
  await report.check("keys and the mouse draw on the frame, undo wipes it off", async () => {
    const before = await window.shoot();
    const picture = find(before, 16 / 9);
    const drawn = { ...picture, y: picture.y + picture.height * 0.45, height: picture.height * 0.5 };
    await window.key("ctrl+d");
    await window.key("2");
    await window.key("Return");
    await until("the arrow", async () => same(await kinds(), [`arrow ${n}`], "drawings") ?? true);
    await window.key("3");
    await window.drag([picture.x + 0.3 * picture.width, picture.y + 0.7 * picture.height], [picture.x + 0.4 * picture.width, picture.y + 0.7 * picture.height]);
    await until("the circle", async () => same(await kinds(), [`arrow ${n}`, `circle ${n}`], "drawings") ?? true);
    await until("both on the screen", async () => difference(before, await window.shoot(), drawn) > 0.005);
    await window.key("Escape");
    await window.key("Escape");
    for (let left = 2; left > 0; left--) {
      await window.key("ctrl+z");
      await until("one less", async () => (await kinds()).length === left - 1);
    }
    await until("the bare picture", async () => difference(before, await window.shoot(), drawn) < 0.001);
  });

  await report.check("two pictures stand side by side, step together and are kept as a pair", async () => {
    const numbers = async () => {
      const shot = await window.shoot();
      return [0, 1].map((side) => {
        const half = { width: Math.floor(shot.width / 2), height: shot.height, at: (x, y) => shot.at(x + side * Math.floor(shot.width / 2), y) };
        const found = find(half, 16 / 9);
        return found ? number(half, found) : null;
      });
    };
    await window.key("alt+b");
    await until("the frame twice", async () => same(await numbers(), [n, n], "frames") ?? true);
    await window.key("Right");
    await until("the next frame at the right", async () => same(await numbers(), [n, n + 1], "frames") ?? true);
    await window.key("Return"); // locked together
    await window.key("Right");
    await until("the next frame at both", async () => same(await numbers(), [n + 1, n + 2], "frames") ?? true);
    await window.key("ctrl+s");
    await until("the question for a name", async () => asks(await window.shoot()));
    await window.type("twice");
    await window.key("Return");
    await until("the pair", async () => same((await fresh("SELECT id, name FROM pair WHERE gone = 0")).map((p) => p.name), ["twice"], "pairs") ?? true);
    await window.key("Escape");
    await window.key("ctrl+z");
    await until("no pair", async () => (await fresh("SELECT id FROM pair WHERE gone = 0")).length === 0);
    await until("one picture", async () => (await numbers()).includes(null));
    const stands = () => window.shoot().then((shot) => number(shot, find(shot, 16 / 9)));
    await until("the picture that had the keys", async () => (await stands()) === n + 2);
    for (let i = 0; i < 2; i++) await window.key("Left");
    await until(`frame ${n}`, async () => (await stands()) === n);
  });
}

/** Programs that the desktop opens files with, which only note what they were asked. */
export function openers(dir) {
  const bin = join(dir, "openers");
  const asked = join(dir, "opened.txt");
  mkdirSync(bin);
  for (const name of ["xdg-open", "dbus-send"]) {
    writeFileSync(join(bin, name), `#!/bin/sh\nprintf '%s\\n' "${name} $*" >>"${asked}"\n`);
    chmodSync(join(bin, name), 0o755);
  }
  const home = join(dir, "home");
  mkdirSync(home);
  return { env: { PATH: `${bin}:${process.env.PATH}`, HOME: home }, home, asked: () => (existsSync(asked) ? readFileSync(asked, "utf8") : "") };
}

/** Where things stand in a window of 1366 × 768 that shows the team's summary, from its right and lower edges. */
const AT = { write: [-150, 30], page: [-575, 81], look: [-445, 160], open: [-168, -17], folder: [-75, -17] };

/** Checks what is written, printed and opened, on a window of the invented club started with what `openers` gave. */
export async function checkDocuments(report, window, desk) {
  const click = ([x, y]) => window.click(1366 + x, y < 0 ? 768 + y : y);
  await window.size(1366, 768);
  await window.key("F7");
  await sleep(2500); // the numbers are counted

  await report.check("a page is looked at and printed: the desktop asks how", async () => {
    await click(AT.write);
    await sleep(500);
    await click(AT.look);
    await sleep(1500);
    await window.key("Return"); // Print, or save as PDF…
    await until("the desktop's dialog", () => window.other("Print"));
    await window.key("Escape");
    await until("it to be gone", async () => !(await window.other("Print")));
    await window.key("Escape");
    await sleep(500);
  });

  await report.check("a page is written where the coach says, opened, and shown in its folder", async () => {
    await click(AT.page);
    await until("the desktop's dialog", () => window.other("."));
    await sleep(500);
    const written = join(desk.home, "team.html");
    await window.key("ctrl+a"); // the name that is suggested
    await window.type(written);
    await window.key("Return");
    await until("the page", () => existsSync(written));
    await sleep(500);
    await click(AT.open);
    await until("the page to be opened", () => desk.asked().includes(`xdg-open ${written}`));
    await click(AT.folder);
    await until("its folder to be shown", () => /dbus-send .*ShowItems/.test(desk.asked()));
  });
}
