// What the real window and the desktop do for each other: the picture by the wheel and over
// all of the screen, back in the same place after a start, a page printed and opened.
import { chmodSync, existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { difference, find } from "./picture.mjs";
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
