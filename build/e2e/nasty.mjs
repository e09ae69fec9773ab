// Names, notes and labels are text on every screen, whatever they hold: nothing
// of them is run, asked for from a network, or breaks a layout. And forgetting a
// player in the page leaves no byte of the player in the library's folder.
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, sleep, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4");
const nasty = [
  "<img src=x onerror=\"document.title='broken'\">",
  "<script>document.title='broken'</script>",
  "=1+1",
  '"; DROP TABLE player; --',
  "{@html document.title}",
  "\u202egpj.exe",
  "שלום 乒乓球 👩‍👩‍👧‍👦",
  "x".repeat(200),
  "javascript:alert(1)",
];
const secret = "Wilhelmina Starboard";

async function coach(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1600x1000");
  await run(program, ["--library", library, "add", clip, "--session", "2026-03-14"]);
  const { page, complaints, close } = await open(await serve(stage, library));
  const asked = [];
  const field = (label) => page.locator("form label.field").filter({ has: page.locator(".name", { hasText: new RegExp(`^${label}$`) }) }).locator(".input");
  page.on("dialog", (d) => {
    complaints.push(`a dialog of the browser: ${d.message()}`);
    void d.dismiss();
  });
  page.on("request", (r) => asked.push(r.url()));

  try {
    await report.check("nasty names are entered through the page", async () => {
      await page.getByRole("dialog").getByLabel("Your name").fill(nasty[0]);
      await page.getByRole("dialog").getByRole("button", { name: "That is me" }).click();
      await page.getByRole("dialog").waitFor({ state: "detached" });
      await page.keyboard.press("F8");
      for (const [i, name] of nasty.entries()) {
        await page.getByRole("button", { name: "New player" }).click();
        await field("Name").fill(name);
        await field("Alias").fill(`${i}${name}`.slice(0, 200));
        await field("Training group").fill(name);
        await field("Note").fill(name);
        await page.getByRole("button", { name: "Add", exact: true }).click();
        await until("the player in the ledger", async () => (await ledger(library, "SELECT count(*) AS n FROM player WHERE gone = 0"))[0].n === i + 1);
      }
      same((await ledger(library, "SELECT name FROM player WHERE gone = 0 ORDER BY id")).map((r) => r.name), nasty, "the ledger");
    });

    await report.check("a field that is wrong says so in a sentence, and nothing is kept", async () => {
      await page.getByRole("button", { name: "New player" }).click();
      for (const [label, text, say] of [
        ["Name", " ", /name is empty/],
        ["Name", "y".repeat(201), /too long/],
        ["Consent to film from", "14.3.2026", /year-month-day/],
        ["until", "2026-13-40", /year-month-day/],
        ["Delete after", "soon", /year-month-day/],
      ]) {
        await field("Name").fill("Anna");
        for (const l of ["Consent to film from", "until", "Delete after"]) await field(l).fill("");
        await field(label).fill(text);
        await page.getByRole("button", { name: "Add", exact: true }).click();
        await page.getByRole("alert").filter({ hasText: say }).waitFor();
      }
      same((await ledger(library, "SELECT count(*) AS n FROM player WHERE gone = 0"))[0].n, nasty.length, "the number of players");
    });

    await report.check("every screen shows them as the text that they are", async () => {
      const cat = await page.evaluate(() => window.go.main.Catalogue.Get());
      const [{ clips: [{ id }] }] = await page.evaluate(async () => (await window.go.main.Sessions.List({ up_to: "", count: 1, clip: "" })).sessions);
      await page.evaluate(async ({ id, players, drill, fault, nasty }) => {
        const { Turns, Strokes, Bench, Catalogue } = window.go.main;
        await Catalogue.SaveDrill({ ...drill, name: nasty[0], note: nasty[1] });
        await Catalogue.SaveFault({ ...fault, label: nasty[0], cue: nasty[1] });
        for (const [i, p] of players.entries()) {
          await Turns.Save({ id: "", clip_id: id, player_id: p.id, drill_id: drill.id, first: i * 8, last: i * 8 + 7, first_ticks: 0, last_ticks: 0 });
          await Strokes.Add(id, i * 8 + 2, "good");
          const mark = await Bench.AddMark(id, i * 8 + 3, fault.id);
          await Bench.SaveMark(mark.id, fault.id, mark.frame, nasty[i]);
        }
      }, { id, players: cat.players, drill: cat.drills[0], fault: cat.faults[0], nasty });
      await page.reload();
      await page.locator("[data-clip]").waitFor();
      for (const key of ["F5", "F10", "F10", "F8", "F7", "F6"]) {
        await page.keyboard.press(key);
        await sleep(600);
      }
      await page.keyboard.press("F5");
      await page.locator("[data-clip]").click();
      await page.locator("output[data-frame='0']").waitFor();
      const bench = await page.locator("main").innerText();
      if (!bench.includes(nasty[0])) throw new Error("the bench does not show the name as text");
      await page.keyboard.press("F7");
      await until("the name in the summary", async () => (await page.locator("main").innerText()).includes(nasty[0]));
      same(await page.locator("main img, main script, iframe, object").count(), 0, "what the names have made");
      same(await page.title(), "Strokeledger", "the title");
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (wide > 0) throw new Error(`the page is ${wide} pixels too wide`);
    });

    await report.check("a player is forgotten: no byte of the name is left in the folder", async () => {
      await page.keyboard.press("F8");
      await page.getByRole("button", { name: "New player" }).click();
      await field("Name").fill(secret);
      await field("Note").fill("allergic to glue");
      await page.getByRole("button", { name: "Add", exact: true }).click();
      await until("the name in the folder", async () => bytes(library, secret).length > 0);
      await page.getByRole("button", { name: "Forget this player…" }).click();
      await page.getByRole("button", { name: "Forget for good" }).click();
      await page.getByRole("button", { name: "Done" }).click();
      same([...bytes(library, secret), ...bytes(library, "allergic to glue")], [], "the files that name the player");
      same((await ledger(library, "SELECT count(*) AS n FROM player WHERE gone = 0"))[0].n, nasty.length, "the number of players");
      await page.getByText(secret).first().waitFor({ state: "detached" });
    });

    await report.check("the page had nothing to complain about, and asked nobody else", async () => {
      same(complaints, [], "the console");
      const own = new URL(page.url()).origin;
      same(asked.filter((url) => !url.startsWith(own) && !/^(data|blob):/.test(url)), [], "addresses of others");
    });
  } finally {
    await close();
  }
}

/** The files of a folder in whose bytes a text stands. */
function bytes(dir, text) {
  return readdirSync(dir).flatMap((name) => {
    const path = join(dir, name);
    if (statSync(path).isDirectory()) return bytes(path, text);
    return readFileSync(path).includes(text) ? [name] : [];
  });
}

await play("nasty", coach);
