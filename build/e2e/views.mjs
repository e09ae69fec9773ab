// Every screen, leaf and dialog of the invented club, one after the other, for tests that
// hold each of them against something. Texts are not changed, and nothing is written
// outside the stage: calls that would ask for a file are answered in their place.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, open, serve } from "./program.mjs";
import { root, run, sleep, until } from "./stage.mjs";

/**
 * Goes from view to view and calls visit(name, page) at each, dialogs included; returns
 * what the page complained of. The page is opened at the size given.
 */
export async function everyView(stage, size, visit) {
  const club = await inventedClub(stage);
  const library = join(club, "library");
  // Two clips of a day pass for two cameras.
  const clip = (at) => `(SELECT id FROM clip WHERE gone = 0 ORDER BY session_id, name LIMIT 1 OFFSET ${at})`;
  await run("sqlite3", [join(library, "ledger.db"), `INSERT INTO pairing SELECT ${clip(1)}, ${clip(1)}, ${clip(0)}, NULL, 0.4, 0, 0.004, 0, 112, author, clock, 0 FROM clip LIMIT 1`]);
  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, library), size);
  try {
    await new Walk(page, visit, stage.dir).all();
  } finally {
    await close();
  }
  const fresh = await open(await serve(stage, join(stage.dir, "fresh")), size);
  try {
    await fresh.page.getByRole("dialog", { name: "Who is marking?" }).waitFor();
    await visit("a new library asks who is marking", fresh.page);
    await fresh.page.keyboard.press("Escape");
    await fresh.page.getByRole("heading", { name: "No clips yet" }).waitFor();
    await visit("Sessions without a clip", fresh.page);
  } finally {
    await fresh.close();
  }
  return [...complaints, ...fresh.complaints];
}

/** Another coach's work, as the commands' own test has it. */
function record(dir) {
  const script = readFileSync(join(root, "app/testdata/script/agreement.txtar"), "utf8");
  const file = join(dir, "record.json");
  writeFileSync(file, script.slice(script.indexOf("-- record.json --\n") + "-- record.json --\n".length));
  return file;
}

class Walk {
  constructor(page, visit, dir) {
    this.page = page;
    this.visit = visit;
    this.dir = dir;
    this.dialog = page.getByRole("dialog");
  }

  button(name, of = this.page) {
    return of.getByRole("button", { name }).first();
  }

  async view(name, go) {
    await go();
    await sleep(150); // pictures and charts
    await this.visit(name, this.page);
  }

  /** The same for a dialog, which Esc closes again. */
  async inDialog(name, go) {
    await go();
    await this.dialog.waitFor();
    await this.view(name, async () => {});
    await this.page.keyboard.press("Escape");
    await this.dialog.waitFor({ state: "detached" });
  }

  async all() {
    await this.sessions();
    const mark = await this.review();
    await this.ruler();
    await this.pictures();
    await this.cameras();
    await this.summary(mark);
    await this.club();
    await this.agreement();
  }

  async sessions() {
    const { page, dialog } = this;
    await this.view("Sessions", () => page.locator("[data-clip] img").first().waitFor());
    await this.inDialog("Sessions, keys", () => page.keyboard.press("?"));
    await this.inDialog("Sessions, the guide", () => page.keyboard.press("F1"));
    await this.inDialog("Sessions, a session", () => this.button(/^(change|date and note…)$/).click());
    await this.inDialog("Sessions, add clips", async () => {
      await page.evaluate(() => (window.go.main.Sessions.Pick = async () => ["/nowhere/one.mp4", "/nowhere/two.mp4"]));
      await this.button("Add clips…").click();
      await this.button("Choose files…", dialog).click();
      await this.button("Add 2 clips", dialog).waitFor();
    });
    await this.inDialog("Sessions, clips that were not added", async () => {
      await this.button("Add clips…").click();
      await this.button("Choose files…", dialog).click();
      await this.button("Add 2 clips", dialog).click();
      await this.button("Done", dialog).waitFor();
    });
    await this.inDialog("Sessions, a clip's title and day", () => this.button(/^Title and day of/).click());
    await this.inDialog("Sessions, take a clip out", () => this.button(/^Take out/).click());
    await this.view("Sessions, what is to do", () => page.keyboard.press("F10"));
    await page.keyboard.press("F10");
  }

  /** Returns a mark of the club. */
  async review() {
    const { page, dialog } = this;
    const [mark] = await page.evaluate(async () => {
      const { sessions } = await window.go.main.Sessions.List({ up_to: "", count: 20, clip: "" });
      const all = [];
      for (const c of sessions.flatMap((s) => s.clips)) {
        const { marks } = await window.go.main.Bench.Ledger(c.id);
        all.push(...marks);
      }
      return all;
    });
    await this.view("Review", async () => {
      await page.locator(`[data-clip="${mark.clip_id}"]`).click();
      await page.locator("output[data-frame='0']").waitFor();
    });
    await this.view("Review, at a mark", () => this.goTo(mark.frame));
    await this.view("Review, lists", async () => {
      await page.keyboard.press("F10");
      await page.locator(".entry.mark .go").first().click();
    });
    await this.view("Review, strokes too", () => page.getByLabel("strokes too").check());
    await this.inDialog("Review, a note", () => page.keyboard.press("F2"));
    await this.inDialog("Review, go to a frame", () => page.keyboard.press("Control+g"));
    await this.inDialog("Review, captions", () => this.button("Captions…").click());
    await this.inDialog("Review, change a turn", () => page.locator(".turn .name").click());
    await this.inDialog("Review, turns of the clip", () => page.keyboard.press("#"));
    await this.inDialog("Review, keys", () => page.keyboard.press("?"));
    await this.inDialog("Review, change keys", async () => {
      await page.keyboard.press("?");
      await this.button("Change keys", dialog).click();
      await dialog.getByLabel("Search actions").waitFor();
    });
    await page.keyboard.press("F10");
    await this.view("Review, how the clip is shown", () => page.keyboard.press("Control+e"));
    await page.keyboard.press("Control+e");
    await this.view("Review, over all of the screen", () => page.keyboard.press("F11"));
    await page.keyboard.press("F11");
    await this.view("Review, a question", async () => {
      // The partner strikes before the player is ready; the club has not said yet which fault that is.
      await page.evaluate(() => (window.go.main.Strokes.LateFault = async () => ({ id: "" })));
      const [stroke] = await page.evaluate(async (clip) => (await window.go.main.Bench.Ledger(clip)).strokes, mark.clip_id);
      for (const [later, key] of [[8, ":"], [14, ";"]]) {
        await this.goTo(stroke.frame + later);
        await page.keyboard.press(key);
        await page.getByText(/^Saved: /).waitFor();
      }
      await this.button("Mark it").waitFor();
    });
    await this.inDialog("Review, which fault is a late return", () => this.button("Mark it").click());
    await this.view("Review, a pass", async () => {
      await page.keyboard.press("Shift+Enter");
      await page.locator("[data-pass]").waitFor();
      await page.keyboard.press("Space");
    });
    await this.view("Review, a pass with what a fault means", async () => {
      await page.keyboard.press("Alt+d");
      await page.getByRole("region", { name: "What it means" }).waitFor();
    });
    await page.keyboard.press("Alt+d");
    await this.inDialog("Review, how the pass goes", () => page.keyboard.press("F2"));
    await page.keyboard.press("Escape");
    await page.locator("[data-pass]").waitFor({ state: "detached" });
    return mark;
  }

  async goTo(frame) {
    await this.page.keyboard.press("Control+g");
    await this.page.keyboard.type(`${frame}`);
    await this.page.keyboard.press("Enter");
    await this.page.locator(`output[data-frame='${frame}']`).waitFor();
  }

  async ruler() {
    const { page } = this;
    const panel = page.getByRole("region", { name: "Ruler" });
    await this.view("Review, the ruler", async () => {
      await page.keyboard.press("Control+m");
      await panel.getByText("Corner 1 of 4.").waitFor();
    });
    await this.view("Review, the ruler laid, strokes measured", async () => {
      await panel.getByText("The table was found by itself.").waitFor();
      await page.keyboard.press("+");
      await panel.getByText("The lines fit well.").waitFor();
      const strokes = page.getByRole("region", { name: "Measured strokes" });
      await strokes.getByRole("button", { name: "Measure the strokes" }).click();
      await until("the strokes", async () => (await strokes.locator("svg .dot").count()) > 0 && (await strokes.getByRole("button", { name: /^(Measure|Stop)/ }).count()) === 0, 60000);
      await strokes.locator("svg .dot").first().click();
    });
    await page.keyboard.press("Control+m");
  }

  async pictures() {
    const { page } = this;
    await this.view("Review, drawing", async () => {
      await page.keyboard.press("Control+d");
      await page.getByRole("region", { name: "Draw" }).waitFor();
    });
    await page.keyboard.press("Escape");
    await this.view("Review, two pictures side by side", async () => {
      await page.keyboard.press("Alt+b");
      await this.button(/^Locked together|^Each by itself|^Lock/).waitFor();
    });
    await this.inDialog("Review, keep a pair", () => page.keyboard.press("Control+s"));
    await this.inDialog("Review, a page or a film of two pictures", () => page.keyboard.press("Control+p"));
    await this.inDialog("Review, kept pairs", () => page.keyboard.press("F3"));
    await page.keyboard.press("Escape");
  }

  async cameras() {
    const { page } = this;
    const clip = await page.evaluate(async () => {
      const { sessions } = await window.go.main.Sessions.List({ up_to: "", count: 20, clip: "" });
      const groups = await Promise.all(sessions.flatMap((s) => s.clips).map((c) => window.go.main.Cameras.Of(c.id)));
      return groups.find((g) => g.views.length > 0).main_id;
    });
    await this.view("Review, another camera", async () => {
      await page.keyboard.press("F5");
      await page.locator(`[data-clip="${clip}"]`).click();
      await page.locator("output[data-frame='0']").waitFor();
      await this.goTo(60);
      await page.keyboard.press("Control+k");
      await page.locator("[data-camera]").waitFor();
    });
    await page.keyboard.press("Control+k");
    await this.inDialog("Review, cameras of the same minutes", () => this.button("Cameras…").click());
    await page.keyboard.press("F5");
    await this.inDialog("Sessions, clips that show the same minutes", async () => {
      await page.evaluate((clip) => {
        const pair = { clip_id: "a", on_id: clip, name: "second camera.mp4", on_name: "first camera.mp4", say: "The second begins 3.402 s after the first, to within 4 ms: 112 sharp sounds agree.", entries: "What is entered in either is kept with the first: 3 turns, 41 strokes." };
        window.go.main.Cameras.Recognise = async (session) => setTimeout(() => window.runtime.EventsEmit("cameras", { session_id: session, ended: true, found: [pair], say: "" }), 50);
      }, clip);
      await this.button("two cameras?").click();
      await page.locator("[data-pair]").waitFor();
    });
  }

  async summary(mark) {
    const { page, dialog } = this;
    const parts = page.getByRole("group", { name: "Part of the summary" }).getByRole("button");
    const whose = page.getByRole("group", { name: "Whose sheet" }).getByRole("button");
    await page.keyboard.press("F7");
    for (const who of ["the team", "a player"]) {
      await whose.nth(who === "the team" ? 0 : 2).click();
      await parts.first().waitFor();
      for (const part of await parts.allInnerTexts()) {
        await this.view(`Summary of ${who}, ${part}`, async () => {
          await parts.filter({ hasText: part }).click();
          await page.getByText("Counting…").waitFor({ state: "detached" });
        });
        if (part === "Faults") {
          await this.inDialog(`Summary of ${who}, the marks behind a number`, () => page.getByTitle("See the marks").first().click());
        }
        if (part === "Ladder" && who === "a player") {
          await this.inDialog("Summary, a ruling", () => this.button("Set by hand…").click());
          await this.inDialog("Summary, the club's goals", () => this.button("Change").click());
        }
      }
    }
    const documents = page.locator("details.out");
    await this.view("Summary, writing documents", () => documents.locator("summary").click());
    await this.inDialog("Summary, a film", () => this.button("of marks or good strokes…", documents).click());
    for (const sheet of ["coach's page…", "family's page…"]) {
      await this.inDialog(`Summary, ${sheet}`, async () => {
        await this.button(sheet, documents).click();
        await dialog.locator("iframe").contentFrame().locator("h1").first().waitFor();
      });
    }
    await page.keyboard.press("Escape");
    await this.inDialog("Summary, turns that were not looked through", async () => {
      const [turn] = await page.evaluate(async (clip) => (await window.go.main.Bench.Ledger(clip)).turns, mark.clip_id);
      await page.evaluate((id) => window.go.main.Pass.TakeBack(id), turn.id);
      await whose.first().click();
      await page.keyboard.press("F5");
      await page.keyboard.press("F7");
      await parts.first().click();
      await page.getByTitle(/^See the turns that were not looked through/).first().click();
    });
  }

  async club() {
    const { page, dialog } = this;
    await page.keyboard.press("F8");
    const tabs = page.getByRole("group", { name: "What to edit" }).getByRole("button");
    for (const tab of ["Players", "Drills", "Faults", "Coaches"]) {
      await this.view(`Club, ${tab}`, async () => {
        await tabs.filter({ hasText: tab }).click();
        await page.locator(".rows button").first().click();
        await page.getByRole("heading", { level: 2 }).first().waitFor();
      });
    }
    await this.inDialog("Club, a coach's reaction", () => this.button("Measure the reaction…").click());
    await tabs.first().click();
    await page.locator(".rows button").first().click();
    await this.inDialog("Club, forget a player", async () => {
      await this.button("Forget this player…").click();
      await this.button("Forget for good", dialog).waitFor();
    });
    await this.inDialog("Club, consent of several", () => this.button("Consent of several…").click());
    await this.inDialog("Club, a list of players", async () => {
      await page.evaluate(() => (window.go.main.Catalogue.ImportRoster = async () => ({ path: "", added: 1, skipped: 2, consented: 1, rows: [{ line: 3, say: "There is no name.", taken: false }, { line: 4, say: "Cy: no hand.", taken: true }] })));
      await this.button("Bring in a list…").click();
    });
    await this.view("Club, Library", async () => {
      await tabs.filter({ hasText: "Library" }).click();
      await this.button("Look through the library").click();
      await page.getByText(/^✓ The library is sound/).waitFor();
    });
    await this.inDialog("Club, go back to a backup", () => this.button(/^Go back to the backup/).click());
    await this.inDialog("Club, hand work over", async () => {
      await this.button("Hand work over…").click();
      await dialog.getByLabel("only some sessions").check();
    });
    await this.inDialog("Club, take work in", async () => {
      await page.evaluate((file) => (window.go.main.Exchange.Pick = async () => file), record(this.dir));
      await this.button("Take work in…").click();
      await dialog.getByText("What comes in, and what changes").waitFor();
      await dialog.locator("details").evaluateAll((all) => all.forEach((d) => (d.open = true)));
    });
  }

  async agreement() {
    const { page, dialog } = this;
    const tab = (name) => page.getByRole("group", { name: "What to show" }).getByRole("button", { name }).click();
    await this.view("Agreement, look a second time", async () => {
      await page.keyboard.press("F12");
      const coach = page.getByLabel("Who looks now");
      await page.getByLabel("Whose turns").selectOption(await coach.inputValue());
      await page.getByLabel("How many").selectOption("number");
      await page.getByLabel("Turns", { exact: true }).fill("2");
      await page.keyboard.press("Enter");
      await page.getByText(/^2 turns, /).waitFor();
    });
    await this.view("Agreement, a second look that goes on", async () => {
      await this.button("Begin the second look").click();
      await page.locator("[data-pass]").waitFor();
      await page.keyboard.press("Escape");
      await page.evaluate(async () => {
        const { Agreement, Catalogue, Pass } = window.go.main;
        const look = (await Agreement.SecondLooks()).find((l) => l.is_mine && !l.finished);
        const fault = (await Catalogue.Get()).faults.find((f) => f.code === "LATE");
        for (const id of look.turns) {
          const turn = await Pass.Turn(id, []);
          for (const s of turn.strokes) await Pass.Mark(s.id, fault.id, s.frame);
          await Pass.Looked(id, []);
        }
      });
      await page.keyboard.press("F5");
      await page.keyboard.press("F12");
      await page.getByText("2 of 2 turns looked through").waitFor();
    });
    await this.inDialog("Agreement, leave a second look", () => this.button("Leave…").click());
    await this.inDialog("Agreement, finish a second look", () => this.button("Finish…").click());
    await this.view("Agreement, how far coaches agree", async () => {
      await this.button("Finish…").click();
      await this.button("Finish it", dialog).click();
      await page.getByText(/that either saw/).first().waitFor();
    });
    await this.view("Agreement, settle", async () => {
      await tab(/^Settle/);
      await page.locator(".loop img").waitFor();
    });
    await this.inDialog("Agreement, another fault", () => page.keyboard.press("5"));
    await this.view("Agreement, definitions", () => tab(/^Definitions/));
    await this.view("Agreement, a self-test", () => tab(/^Self-test/));
  }
}
