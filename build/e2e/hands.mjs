// What the hands do, on the invented club: keys that are changed, refused and printed, a text
// size, and the window at four sizes, in which nothing is cut.
//
//   node build/e2e/hands.mjs [FOLDER]    writes a picture of each size into the folder
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, serve } from "./program.mjs";
import { play, same, sleep, until } from "./stage.mjs";

const pictures = process.argv[2];

async function act(stage, report) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  await stage.screen("2000x1200");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const dialog = page.getByRole("dialog");
  const kept = () => JSON.parse(readFileSync(join(stage.dir, "config/strokeledger/preferences.json"), "utf8"));
  const shoot = (name) => (pictures ? page.screenshot({ path: join(pictures, `${name}.png`) }) : undefined);
  const frame = () => page.locator("output[data-frame]").getAttribute("data-frame");

  try {
    await report.check("a key is changed, refused in a sentence, and kept", async () => {
      await page.locator("[data-clip]").first().click();
      await page.locator("output[data-frame='0']").waitFor();
      await page.keyboard.press("?");
      await dialog.getByRole("button", { name: "Change keys" }).click();
      const row = (id) => page.locator(`[data-action="${id}"]`);
      const give = async (id, key) => {
        await row(id).getByRole("button", { name: "Change" }).click();
        await page.keyboard.press(key);
      };
      await shoot("keys");
      await give("frameOn", "Space");
      await dialog.getByText("Space is “Play and pause”: choose another key, or change that one first.").waitFor();
      await page.keyboard.press("k");
      await dialog.getByText("Letters and digits belong to the faults of the team").waitFor();
      await page.keyboard.press("Insert");
      await dialog.getByText("Kept: Insert is “One frame forward” now.").waitFor();
      await shoot("keys changed");
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
      await page.keyboard.press("Insert");
      await until("frame 1", async () => (await frame()) === "1");
      await page.keyboard.press("ArrowRight"); // belongs to nothing now
      await sleep(300);
      same(await frame(), "1", "the frame");
      await until("it is kept", () => kept().keys === '{"frameOn":["Insert"]}');
      await page.reload();
      await page.locator("[data-clip]").first().click();
      await page.locator("output[data-frame='0']").waitFor();
      await page.keyboard.press("Insert");
      await until("frame 1 after the page is read again", async () => (await frame()) === "1");
    });

    await report.check("the card is one sheet with every key, and the changed one on it", async () => {
      await page.evaluate(() => {
        window.go.main.Preferences.SaveCard = async (html) => {
          window.card = html;
          return "/there/keys.html";
        };
      });
      await page.keyboard.press("?");
      await dialog.getByRole("button", { name: "Change keys" }).click();
      await dialog.getByRole("button", { name: "Print as a card…" }).click();
      await dialog.getByText("Written: /there/keys.html").waitFor();
      const html = await page.evaluate(() => window.card);
      const sheet = await page.context().browser().newPage();
      await sheet.setContent(html);
      if (pictures) await sheet.screenshot({ path: join(pictures, "card.png"), fullPage: true });
      const rows = await sheet.locator("tr").allInnerTexts();
      if (!rows.some((r) => /Insert\s+One frame forward/.test(r))) throw new Error(`the card does not say Insert: ${rows.join(", ").slice(0, 500)}`);
      const faults = await ledger(library, "SELECT count(*) AS n FROM fault WHERE gone = 0 AND retired = 0 AND key <> ''");
      const actions = await page.locator("[data-action]").count();
      same(rows.length, actions + faults[0].n, "lines of the card");
      const pdf = await sheet.pdf({ preferCSSPageSize: true });
      const sides = pdf.toString("latin1").match(/\/Type\s*\/Page\b/g).length;
      if (sides > 2) throw new Error(`the card takes ${sides} sides of A4`);
      await sheet.close();
      await dialog.getByRole("button", { name: "All as usual" }).click();
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
      await until("nothing is kept", () => kept().keys === undefined);
    });

    // Frame, clock, player and clip: whole at any size, and the page scrolls along no axis.
    for (const [width, height, text] of [[1100, 700, 100], [1366, 768, 100], [1366, 768, 150], [1920, 1080, 100]]) {
      await report.check(`nothing is cut at ${width} by ${height}, text ${text} %`, async () => {
        await page.setViewportSize({ width, height });
        await page.evaluate((percent) => (document.documentElement.style.fontSize = `${percent}%`), text);
        await page.keyboard.press("F6");
        const turn = page.locator(".transport .turn .name strong");
        for (let i = 0; i < 40 && (await turn.count()) === 0; i++) await page.keyboard.press("PageDown"); // into a turn
        await turn.waitFor();
        await sleep(500);
        await shoot(`review ${width} ${text}`);
        const cut = await page.evaluate(() => {
          const out = [];
          for (const what of [".transport output", ".transport .time", ".transport .clip", ".transport .turn .name strong"]) {
            const e = document.querySelector(what);
            const at = e?.getBoundingClientRect();
            const stage = e?.closest("section")?.getBoundingClientRect();
            if (!e || !stage) out.push(`${what} is not there`);
            else if (at.left < stage.left - 1 || at.right > stage.right + 1 || at.bottom > stage.bottom + 1) out.push(`${what} is out of sight: ${e.textContent}`);
            else if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) out.push(`${what} is cut: ${e.textContent}`);
          }
          const all = [...document.querySelectorAll(".transport > *")].map((e) => e.getBoundingClientRect());
          for (const [i, a] of all.entries())
            for (const b of all.slice(i + 1)) if (a.right > b.left + 1 && b.right > a.left + 1 && a.bottom > b.top + 1 && b.bottom > a.top + 1) out.push("two parts under the picture overlap");
          return out;
        });
        same(cut, [], "what is cut");
        for (const key of ["F5", "F6", "F7", "F8"]) {
          await page.keyboard.press(key);
          await sleep(300);
          await shoot(`${key} ${width} ${text}`);
          const scrolls = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth || document.documentElement.scrollHeight > innerHeight);
          same(scrolls, false, `whether the window scrolls on ${key}`);
        }
      });
    }

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

await play("hands", act);
