// Two laptops, each with a library of its own and the same film: the page takes the other
// one's work in on the real backend, asks about the people, and takes it back with undo.
// The ledger on disk says what came of it.
import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const clip = join(root, "testdata/clips/a01_baseline.mp4");
const shots = process.env.SHOTS; // a folder for pictures of the dialogs

async function bring(stage, report) {
  const [mine, theirs] = [join(stage.dir, "mine"), join(stage.dir, "theirs")];
  const film = join(stage.dir, "evening.mp4");
  const record = join(stage.dir, "theirs.json");
  copyFileSync(clip, film);
  for (const library of [mine, theirs]) await run(program, ["--library", library, "add", film, "--session", "2026-01-15"]);
  for (const [library, line] of [
    [mine, "20 LATE"],
    [theirs, "50 LATE"],
  ]) {
    const marking = run(program, ["--library", library, "mark", "evening.mp4"]);
    marking.child.stdin.end(`${line}\n`);
    await marking;
  }
  await run(program, ["--library", theirs, "record", record, "--names", "--session", "2026-01-15"]);
  const marks = async () => (await ledger(mine, "SELECT frame FROM mark WHERE gone = 0 ORDER BY frame")).map((r) => r.frame);

  await stage.screen("1600x1000");
  const { page, complaints, close } = await open(await serve(stage, mine), { width: 1366, height: 768 });
  const shot = async (name) => {
    if (shots) await page.screenshot({ path: join(shots, `${name}.png`) });
  };
  try {
    const naming = page.getByRole("dialog", { name: "Who is marking?" });
    await naming.getByLabel("Your name").fill("Ruta Halvorsen");
    await naming.getByRole("button", { name: "That is me" }).click();
    await naming.waitFor({ state: "detached" });
    await page.keyboard.press("F8");
    await page.getByRole("button", { name: "Library", exact: true }).click();

    await report.check("what is handed over is chosen", async () => {
      await shot("library");
      await page.getByRole("button", { name: "Hand work over…" }).press("Enter");
      const dialog = page.getByRole("dialog", { name: "Hand work over" });
      await dialog.getByLabel("only some sessions").check();
      await until("the day", async () => (await dialog.getByLabel(/15 January 2026/).count()) === 1);
      if (!(await dialog.getByRole("button", { name: "Choose the file…" }).isDisabled())) throw new Error("no session is chosen yet");
      await dialog.getByLabel(/15 January 2026/).check();
      if (await dialog.getByRole("button", { name: "Choose the file…" }).isDisabled()) throw new Error("a session is chosen");
      await shot("hand-over");
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
    });

    await report.check("their work comes in once what is to decide is decided, and undo takes it back", async () => {
      await page.evaluate((file) => (window.go.main.Exchange.Pick = async () => file), record);
      await page.getByRole("button", { name: "Take work in…" }).press("Enter");
      const dialog = page.getByRole("dialog", { name: "Take work in" });
      await dialog.getByText("What comes in, and what changes").waitFor();
      await shot("take-in");
      same(await marks(), [20], "the marks before");
      const take = dialog.getByRole("button", { name: "Take it in" });
      await take.press("Enter");
      await page.getByText("Taken in. One undo takes all of it back.").waitFor();
      same(await marks(), [20, 50], "the marks of both");
      same((await ledger(mine, "SELECT count(*) AS n FROM clip WHERE gone = 0"))[0].n, 1, "the clips: one film");
      same((await ledger(mine, "SELECT count(*) AS n FROM fault WHERE gone = 0 AND code = 'LATE'"))[0].n, 1, "the fault of both");
      await page.getByRole("button", { name: "Take work in…" }).press("Enter");
      await dialog.getByText("✓ All of it is in the library").waitFor();
      await shot("nothing-new");
      await page.keyboard.press("Escape");
      await dialog.waitFor({ state: "detached" });
      await page.keyboard.press("Control+z");
      await until("the marks before", async () => JSON.stringify(await marks()) === "[20]");
    });
    await report.check("what one removed and the other changed is asked, not decided", async () => {
      const dialog = page.getByRole("dialog", { name: "Take work in" });
      const take = dialog.getByRole("button", { name: "Take it in" });
      const bring = async (file, decide) => {
        await page.evaluate((file) => (window.go.main.Exchange.Pick = async () => file), file);
        await page.getByRole("button", { name: "Take work in…" }).press("Enter");
        await dialog.getByText(/^(What comes in, and what changes|To decide)/).first().waitFor();
        await decide?.();
        await take.press("Enter");
        await dialog.waitFor({ state: "detached" });
      };
      await bring(record);
      const [{ id }] = await ledger(mine, "SELECT id FROM mark WHERE gone = 0 AND frame = 50");
      await page.evaluate((id) => window.go.main.Bench.RemoveMark(id), id);
      same(await marks(), [20], "the marks without the removed one");

      const later = JSON.parse(readFileSync(record, "utf8"));
      const theirs = later.marks.find((m) => m.frame === 50);
      theirs.note = "seen again";
      const before = later.changed.mark[theirs.id];
      later.changed.mark[theirs.id] = { ...before, at: Date.now() * 1000, older: [{ at: before.at, by: before.by, of: ["gone"] }] };
      const file = join(stage.dir, "later.json");
      writeFileSync(file, JSON.stringify(later));
      await bring(file, async () => {
        const question = dialog.locator("fieldset").filter({ hasText: "You removed the mark" });
        await shot("removed");
        same(await take.isDisabled(), true, "that nothing is taken in before there is an answer");
        await question.getByRole("radio", { name: "Keep it, with all changes." }).check();
        await until("the answer", async () => !(await take.isDisabled()));
      });
      same(
        await ledger(mine, "SELECT frame, note FROM mark WHERE gone = 0 ORDER BY frame"),
        [
          { frame: 20, note: "" },
          { frame: 50, note: "seen again" },
        ],
        "the marks",
      );
    });
    same(complaints, [], "complaints of the page");
  } finally {
    await close();
  }
}

await play("exchange", bring);
