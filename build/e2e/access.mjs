// Every screen and dialog of the invented club, held against axe-core's rules: none
// of serious or critical impact may be broken. Texts are not changed and nothing is
// written: calls that would ask for a file are answered in their place.
//
//   node build/e2e/access.mjs [FOLDER]    writes a picture of each view into the folder
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { inventedClub, open, serve } from "./program.mjs";
import { play, root, run, same, sleep } from "./stage.mjs";

const axe = readFileSync(createRequire(join(root, "frontend/package.json")).resolve("axe-core/axe.min.js"), "utf8");
const pictures = process.argv[2];
const size = { width: 1366, height: 768 };
const count = { views: 0, nodes: 0, broken: 0, dialogs: new Set() };

/** Holds what is shown against the rules; returns what is broken, a line a node. */
async function broken(page) {
  await page.evaluate(`window.axe ?? ${axe}; 0`);
  return page.evaluate(async () => {
    const { violations, passes } = await window.axe.run(document, { resultTypes: ["violations"] });
    const grave = violations.filter((v) => v.impact === "serious" || v.impact === "critical");
    return {
      nodes: [...violations, ...passes].reduce((sum, v) => sum + v.nodes.length, 0),
      lines: grave.flatMap((v) => v.nodes.map((n) => `${v.id} (${v.impact}): ${n.target.join(" ")} ${n.html.replace(/\s+/g, " ").slice(0, 160)}`)),
    };
  });
}

async function look(stage, report) {
  const club = await inventedClub(stage);
  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, join(club, "library")), size);
  const dialog = page.getByRole("dialog");
  const button = (name, of = page) => of.getByRole("button", { name }).first();

  /** Goes to a view, and counts what is wrong there. */
  const view = (name, go) =>
    report.check(name, async () => {
      await go();
      await sleep(400); // pictures and charts
      const { nodes, lines } = await broken(page);
      count.views++;
      count.nodes += nodes;
      count.broken += lines.length;
      if (pictures) await page.screenshot({ path: join(pictures, `${String(count.views).padStart(2, "0")} ${name.replaceAll("/", " ")}.png`) });
      if (process.env.ALL && lines.length > 0) return console.log(lines.join("\n"));
      same(lines, [], "what is broken");
    });
  /** The same for a dialog, which Esc closes again. */
  const inDialog = (name, go) =>
    view(name, async () => {
      await go();
      await dialog.waitFor();
      count.dialogs.add(name);
    }).then(async () => {
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
    });

  try {
    await view("Sessions", () => page.locator("[data-clip] img").first().waitFor());
    await inDialog("Sessions, keys", () => page.keyboard.press("?"));
    await inDialog("Sessions, the guide", () => page.keyboard.press("F1"));
    await inDialog("Sessions, a session", () => button(/^(change|date and note…)$/).click());
    await inDialog("Sessions, add clips", async () => {
      await page.evaluate(() => (window.go.main.Sessions.Pick = async () => ["/nowhere/one.mp4", "/nowhere/two.mp4"]));
      await button("Add clips…").click();
      await button("Choose files…", dialog).click();
      await button("Add 2 clips", dialog).waitFor();
    });
    await inDialog("Sessions, clips that were not added", async () => {
      await button("Add clips…").click();
      await button("Choose files…", dialog).click();
      await button("Add 2 clips", dialog).click();
      await button("Done", dialog).waitFor();
    });
    await inDialog("Sessions, a clip's title and day", () => button(/^Title and day of/).click());
    await inDialog("Sessions, take a clip out", () => button(/^Take out/).click());
    await view("Sessions, what is to do", () => page.keyboard.press("F10"));
    await page.keyboard.press("F10");

    const [mark] = await page.evaluate(async () => {
      const { sessions } = await window.go.main.Sessions.List({ up_to: "", count: 20, clip: "" });
      const all = [];
      for (const c of sessions.flatMap((s) => s.clips)) {
        const { marks } = await window.go.main.Bench.Ledger(c.id);
        all.push(...marks);
      }
      return all;
    });
    await view("Review", async () => {
      await page.locator(`[data-clip="${mark.clip_id}"]`).click();
      await page.locator("output[data-frame='0']").waitFor();
    });
    await view("Review, lists", async () => {
      await page.keyboard.press("F10");
      await page.locator(".entry.mark .go").first().click();
      await page.locator("output[data-frame]:not([data-frame='0']):not([data-frame='-1'])").waitFor();
    });
    await view("Review, strokes too", () => page.getByLabel("strokes too").check());
    await inDialog("Review, a note", () => page.keyboard.press("F2"));
    await inDialog("Review, go to a frame", () => page.keyboard.press("Control+g"));
    await inDialog("Review, captions", () => button("Captions…").click());
    await inDialog("Review, change a turn", () => page.locator(".turn .name").click());
    await inDialog("Review, turns of the clip", () => page.keyboard.press("#"));
    await inDialog("Review, keys", () => page.keyboard.press("?"));
    await inDialog("Review, change keys", async () => {
      await page.keyboard.press("?");
      await button("Change keys", dialog).click();
      await dialog.getByLabel("Search actions").waitFor();
    });
    await view("Review, a pass", async () => {
      await page.keyboard.press("Shift+Enter");
      await page.locator("[data-pass]").waitFor();
      await page.keyboard.press("Space");
    });
    await inDialog("Review, how the pass goes", () => page.keyboard.press("F2"));
    await page.keyboard.press("Escape");
    await page.locator("[data-pass]").waitFor({ state: "detached" });

    const parts = page.getByRole("group", { name: "Part of the summary" }).getByRole("button");
    await page.keyboard.press("F7");
    for (const whose of ["the team", "a player"]) {
      await page.getByRole("group", { name: "Whose sheet" }).getByRole("button").nth(whose === "the team" ? 0 : 2).click();
      await parts.first().waitFor();
      for (const part of await parts.allInnerTexts()) {
        await view(`Summary of ${whose}, ${part}`, async () => {
          await parts.filter({ hasText: part }).click();
          await page.getByText("Counting…").waitFor({ state: "detached" });
        });
        if (part === "Faults") {
          await inDialog(`Summary of ${whose}, the marks behind a number`, () => page.getByTitle("See the marks").first().click());
        }
        if (part === "Ladder" && whose === "a player") {
          await inDialog("Summary, a ruling", () => button("Set by hand…").click());
          await inDialog("Summary, the club's goals", () => button("Change").click());
        }
      }
    }
    await view("Summary, writing documents", () => page.locator("details.out summary").click());
    await page.keyboard.press("Escape");
    await inDialog("Summary, turns that were not looked through", async () => {
      const [turn] = await page.evaluate(async (clip) => (await window.go.main.Bench.Ledger(clip)).turns, mark.clip_id);
      await page.evaluate((id) => window.go.main.Pass.TakeBack(id), turn.id);
      await page.getByRole("group", { name: "Whose sheet" }).getByRole("button").first().click();
      await page.keyboard.press("F5");
      await page.keyboard.press("F7");
      await parts.first().click();
      await page.getByTitle(/^See the turns that were not looked through/).first().click();
    });

    await page.keyboard.press("F8");
    const tabs = page.getByRole("group", { name: "What to edit" }).getByRole("button");
    for (const tab of ["Players", "Drills", "Faults", "Coaches"]) {
      await view(`Club, ${tab}`, async () => {
        await tabs.filter({ hasText: tab }).click();
        await page.locator(".rows button").first().click();
        await page.getByRole("heading", { level: 2 }).first().waitFor();
      });
    }
    await inDialog("Club, a coach's reaction", () => button("Measure the reaction…").click());
    await tabs.first().click();
    await page.locator(".rows button").first().click();
    await inDialog("Club, forget a player", async () => {
      await button("Forget this player…").click();
      await button("Forget for good", dialog).waitFor();
    });
    await inDialog("Club, consent of several", () => button("Consent of several…").click());
    await inDialog("Club, a list of players", async () => {
      await page.evaluate(() => (window.go.main.Catalogue.ImportRoster = async () => ({ path: "", added: 1, skipped: 2, consented: 1, rows: [{ line: 3, say: "There is no name.", taken: false }, { line: 4, say: "Cy: no hand.", taken: true }] })));
      await button("Bring in a list…").click();
    });
    await view("Club, Library", async () => {
      await tabs.filter({ hasText: "Library" }).click();
      await button("Look through the library").click();
      await page.getByText(/^✓ The library is sound/).waitFor();
    });
    await inDialog("Club, go back to a backup", () => button(/^Go back to the backup/).click());

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }

  const fresh = await open(await serve(stage, join(stage.dir, "fresh")), size);
  try {
    await report.check("a new library asks who is marking, and Sessions without a clip", async () => {
      await fresh.page.getByRole("dialog", { name: "Who is marking?" }).waitFor();
      const asking = await broken(fresh.page);
      await fresh.page.keyboard.press("Escape");
      await fresh.page.getByRole("heading", { name: "No clips yet" }).waitFor();
      const empty = await broken(fresh.page);
      count.views += 2;
      count.nodes += asking.nodes + empty.nodes;
      count.broken += asking.lines.length + empty.lines.length;
      same([...asking.lines, ...empty.lines], [], "what is broken");
    });
  } finally {
    await fresh.close();
  }
  await report.check(`${count.views} views, ${count.dialogs.size} of them dialogs: ${count.broken} serious or critical of ${count.nodes} nodes`, async () => same(count.broken, 0, "what is broken"));
}

await play("access", look);
