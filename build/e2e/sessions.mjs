// A library of many sessions: they come by pages, earlier ones as the list is
// scrolled down or by a button, and a day can be jumped to. The sessions are
// written into the tables by SQLite's own shell; their clips' files are nowhere.
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const film = join(root, "testdata/clips/a01_baseline.mp4");
const many = 95; // one a day, the last on 2026-04-05; three clips each

async function look(stage, report) {
  const library = join(stage.dir, "library");
  await run(program, ["--library", library, "add", film, "--session", "2026-01-15"]);
  await run("sqlite3", [join(library, "ledger.db"), `
    CREATE TEMP TABLE n AS WITH RECURSIVE s(n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM s WHERE n < ${many * 3 - 1}) SELECT n FROM s;
    INSERT INTO session SELECT printf('s%03d', n), date('2026-01-01', n || ' days'), '', '', 1, 0 FROM n WHERE n < ${many} AND n <> 14;
    INSERT INTO clip SELECT printf('c%03d', n), printf('s%03d', n / 3), printf('clip %03d.mp4', n), printf('/nowhere/clip %03d.mp4', n),
      printf('print %d', n), 7, 3000, 0, 1, 12800, 60, 1920, 1080, '', 1, 0 FROM n WHERE n / 3 <> 14;`]);
  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library));
  const dates = () => page.locator("section h2").allInnerTexts();
  const shown = (n, first) => until(`${n} sessions from ${first}`, async () => {
    const d = await dates();
    return d.length === n && d[0].includes(first);
  });
  const focused = () => page.evaluate(() => document.activeElement?.dataset.clip ?? document.activeElement?.textContent);
  const day = page.getByLabel("Day, as year-month-day");
  const earlier = page.getByRole("button", { name: /^Earlier sessions/ });

  try {
    await report.check("the latest sessions come first, a page of them", async () => {
      const naming = page.getByRole("dialog", { name: "Who is marking?" });
      await naming.getByLabel("Your name").fill("Ruta Halvorsen");
      await naming.getByRole("button", { name: "That is me" }).click();
      await shown(20, "5 April 2026");
      same(await page.locator("[data-clip]").count(), 60, "the number of cards");
      await until("the first card has the keys", async () => (await focused()) === "c282");
      await page.getByText("95 sessions in all").waitFor();
    });

    await report.check("files that are not there are told after the list, without a picture being asked for", async () => {
      await until("the cards say so", async () => (await page.getByText("The file is not there any more").count()) === 60);
      same(await page.locator("[data-clip] img").count(), 0, "the number of pictures asked for");
    });

    await report.check("earlier ones come at the end of the list, and by the button with the keys", async () => {
      await page.locator(".screen").evaluate((e) => (e.scrollTop = e.scrollHeight));
      await shown(40, "5 April 2026");
      await earlier.evaluate((b) => b.focus({ preventScroll: true }));
      const before = (await dates()).length;
      await page.keyboard.press("Enter");
      await until("a page more", async () => (await dates()).length >= before + 20);
      await until("the first of them has the keys", async () => /^c\d{3}$/.test(await focused()));
    });

    await report.check("a day is jumped to; a clip is opened there, and is there again on the way back", async () => {
      await day.fill("2026-01-1");
      await day.fill("2026-01-15");
      await until("the sessions up to then", async () => (await dates())[0]?.includes("15 January 2026"));
      await shown(15, "15 January 2026");
      same(await earlier.count(), 0, "the button for earlier ones");
      same(await focused(), "", "where the keys are");
      const id = await page.locator("section").filter({ hasText: "15 January 2026" }).locator("[data-clip]").getAttribute("data-clip");
      await page.locator(`[data-clip='${id}'] img`).waitFor();
      await page.locator(`[data-clip='${id}']`).click();
      await page.locator("output[data-frame='0']").waitFor();
      await page.keyboard.press("F5");
      await until("the clip has the keys", async () => (await focused()) === id);
      await shown(15, "15 January 2026");

      await page.getByRole("button", { name: "Latest sessions" }).click();
      await shown(20, "5 April 2026");
      await page.keyboard.press("F8");
      await page.getByRole("button", { name: "New player" }).waitFor();
      await page.keyboard.press("F5");
      await until("the first card has the keys", async () => (await focused()) === "c282");
      await shown(20, "5 April 2026");
    });

    await report.check("before the first session there is none, and the list says which is the first", async () => {
      await day.fill("2025-06-01");
      await page.getByText("There is no session up to Sunday, 1 June 2025: the first is of Thursday, 1 January 2026.").waitFor();
      await page.getByRole("button", { name: "Latest sessions" }).click();
      await shown(20, "5 April 2026");
    });

    await report.check("the list does not wait for a drive that hangs, and is looked at again", async () => {
      await page.evaluate(() => {
        const { Sessions } = window.go.main;
        window.absent = Sessions.Absent;
        Sessions.Absent = (ids) => new Promise((done) => (window.giveUp = () => done(ids.map((clip_id) => ({ clip_id, slow: true })))));
      });
      await day.fill("2026-01-16");
      await until("the list", async () => (await dates())[0]?.includes("16 January 2026"));
      await page.evaluate(() => window.giveUp());
      await until("the cards say so", async () => (await page.getByText("Its drive does not answer").count()) === 3);
      await page.evaluate(() => (window.go.main.Sessions.Absent = window.absent));
      await page.locator("article").filter({ hasText: "clip 045.mp4" }).getByRole("button", { name: "Look again" }).click();
      await page.getByText("The drive answers, but clip 045.mp4 is not there.").waitFor();
      same(await page.getByText("Its drive does not answer").count(), 0, "the cards that still say so");
      await until("its card has the keys", async () => (await focused()) === "c045");
    });
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("sessions", look);
