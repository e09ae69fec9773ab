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

    await report.check("a clip gets a title and goes to another day with all that is on it; each is one step of undo", async () => {
      await page.keyboard.press("F5");
      const [clip] = await ledger(
        library,
        "SELECT c.id, c.name, s.date FROM clip c JOIN session s ON s.id = c.session_id WHERE c.name LIKE '%09-08-two%' AND c.gone = 0",
      );
      const now = async () =>
        (await ledger(library, `SELECT c.name, s.date FROM clip c JOIN session s ON s.id = c.session_id WHERE c.id = '${clip.id}'`))[0];
      const entries = () => ledger(library, `SELECT (SELECT count(*) FROM turn WHERE clip_id = '${clip.id}') AS turns, (SELECT count(*) FROM mark WHERE clip_id = '${clip.id}') AS marks`);
      const before = await entries();
      const card = page.locator("article").filter({ has: page.locator(`[data-clip="${clip.id}"]`) });
      await card.getByRole("button", { name: /^Title and day of/ }).click();
      await dialog.getByLabel("Title").fill("Léa warms up");
      await page.keyboard.press("Enter");
      await dialog.waitFor({ state: "detached" });
      await card.getByText("Léa warms up", { exact: true }).waitFor();
      same(await now(), { name: "Léa warms up", date: clip.date }, "the clip");
      await card.getByRole("button", { name: /^Title and day of/ }).click();
      await dialog.getByLabel("Day, as year-month-day").fill("2026-09-31");
      await dialog.getByRole("button", { name: "Save" }).click();
      await dialog.getByRole("alert").waitFor(); // no such day: nothing is lost
      await dialog.getByLabel("Day, as year-month-day").fill("2026-09-22");
      await dialog.getByRole("button", { name: "Save" }).click();
      await dialog.waitFor({ state: "detached" });
      await page.locator("section").filter({ hasText: "22 September 2026" }).locator(`[data-clip="${clip.id}"]`).waitFor();
      same(await now(), { name: "Léa warms up", date: "2026-09-22" }, "the clip");
      same(await entries(), before, "what is entered on it");
      await page.getByLabel("Search clips and players").fill("lea warms"); // without its accent
      await until("one clip", async () => (await page.locator("[data-clip]").count()) === 1);
      await page.getByLabel("Search clips and players").fill("");
      await page.getByRole("button", { name: "Undo" }).click();
      await until("the day before", async () => (await now()).date === clip.date);
      await page.getByRole("button", { name: "Undo" }).click();
      await until("the name before", async () => (await now()).name === clip.name);
    });

    await report.check("the search finds the clips of a player, in any case", async () => {
      const rows = await ledger(library, "SELECT DISTINCT t.clip_id AS id FROM turn t JOIN player p ON p.id = t.player_id WHERE p.name = 'Ilka Osei' AND t.gone = 0");
      const all = await page.locator("[data-clip]").count();
      await page.getByLabel("Search clips and players").fill("ÌLKA");
      const shown = () => page.locator("[data-clip]").evaluateAll((l) => l.map((e) => e.dataset.clip).sort());
      await until("her clips", async () => JSON.stringify(await shown()) === JSON.stringify(rows.map((r) => r.id).sort()));
      if (rows.length === 0 || rows.length === all) throw new Error(`${rows.length} of ${all} clips are of one player`);
      for (const card of await page.locator("[data-clip]").allInnerTexts()) if (!/Ilka/.test(card)) throw new Error(`no player on ${card}`);
      await page.getByLabel("Search clips and players").fill("zebra");
      await page.getByText("No clip has this in its title").waitFor();
      await page.getByLabel("Search clips and players").fill("");
      await until("all clips", async () => (await page.locator("[data-clip]").count()) === all);
    });

    await report.check("keys lead to the next clip, and to the next turn that nobody has looked through", async () => {
      const names = await page.locator("[data-clip]").evaluateAll((l) => l.map((e) => e.dataset.clip));
      const here = () => page.evaluate(() => document.querySelector(".transport .clip")?.textContent ?? "");
      const nameOf = async (id) => (await ledger(library, `SELECT name FROM clip WHERE id = '${id}'`))[0].name;
      await page.locator(`[data-clip="${names[0]}"]`).click();
      await until("the first clip", async () => (await here()) === (await nameOf(names[0])));
      await page.keyboard.press("Control+PageDown");
      await until("another clip", async () => (await here()) !== (await nameOf(names[0])) && (await here()) !== "");
      await page.keyboard.press("Control+PageUp");
      await until("the first clip again", async () => (await here()) === (await nameOf(names[0])));
      const turns = await ledger(
        library,
        "SELECT t.clip_id, t.first, t.last FROM turn t WHERE t.gone = 0 AND NOT EXISTS (SELECT 1 FROM look l WHERE l.gone = 0 AND l.clip_id = t.clip_id AND l.first <= t.first AND l.last >= t.last)",
      );
      same(turns.length, 1, "turns that nobody has looked at");
      const name = await nameOf(turns[0].clip_id);
      // One more is looked through for two faults only, and comes up too.
      for (let i = 0; i < 3 && !((await here()) === name && Number(await frame()) >= turns[0].first && Number(await frame()) <= turns[0].last); i++) {
        await page.keyboard.press("Control+u");
        await sleep(1500);
      }
      same(await here(), name, "the clip");
      const at = Number(await frame());
      if (at < turns[0].first || at > turns[0].last) throw new Error(`frame ${at} is not in the turn of ${turns[0].first} to ${turns[0].last}`);
    });

    await report.check("the speed, and whether the lists are there, are the same the next time", async () => {
      const speed = page.getByRole("group", { name: "Speed" }).getByRole("button", { pressed: true });
      same(await speed.innerText(), "1×", "the speed");
      await page.keyboard.press("Control+ArrowDown");
      await page.keyboard.press("F10");
      await page.locator("aside .entry").first().waitFor();
      await until("they are kept", () => kept().speed === "0.5" && kept().lists === "open");
      await page.reload();
      await page.locator("[data-clip]").first().click();
      await page.locator("aside .entry").first().waitFor();
      same(await speed.innerText(), "0.5×", "the speed");
      await page.keyboard.press("F10");
      await page.keyboard.press("Control+ArrowUp");
      await until("what is usual is not kept", () => kept().speed === undefined && kept().lists === undefined);
      await page.keyboard.press("F5");
    });

    // Frame, clock, player and clip: whole at any size, and the page scrolls along no axis.
    for (const [width, height, text] of [[1100, 700, 100], [1366, 768, 100], [1366, 768, 150], [1920, 1080, 100]]) {
      await report.check(`nothing is cut at ${width} by ${height}, text ${text} %`, async () => {
        await page.setViewportSize({ width, height });
        await page.evaluate((percent) => (document.documentElement.style.fontSize = `${percent}%`), text);
        await page.keyboard.press("F6");
        const turn = page.locator(".transport .turn .name strong");
        await page.locator(".transport output").waitFor();
        await until("a turn", async () => (await turn.count()) > 0 || (await page.keyboard.press("PageDown"), false));
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
