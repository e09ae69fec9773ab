// What keeps the ledger whole, in the page on the real backend: the day's backup,
// going back to it and forward again, a look for damage, and a damaged library
// that is mended from the window. The ledger on disk says what came of it.
import { closeSync, openSync, readdirSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import { ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const film = join(root, "testdata/clips/a01_baseline.mp4");
const coaches = "SELECT name FROM coach WHERE gone = 0 ORDER BY name";

async function keep(stage, report) {
  const library = join(stage.dir, "library");
  const broken = join(stage.dir, "broken");
  const names = async () => (await ledger(library, coaches)).map((r) => r.name);
  const list = (page) => page.getByRole("list", { name: "Backups" }).getByRole("listitem");
  await run(program, ["--library", library, "add", film, "--session", "2026-01-15"]);
  await stage.screen("1600x1000");
  let { page, complaints, close } = await open(await serve(stage, library));

  try {
    await report.check("the day's backup is listed, and the library is found whole", async () => {
      const naming = page.getByRole("dialog", { name: "Who is marking?" });
      await naming.getByLabel("Your name").fill("Ruta Halvorsen");
      await naming.getByRole("button", { name: "That is me" }).click();
      await naming.waitFor({ state: "detached" });
      await page.keyboard.press("F8");
      await page.getByRole("button", { name: "Library", exact: true }).click();
      await until("the backup", async () => (await list(page).count()) === 1);
      await page.getByRole("button", { name: "Look through the library" }).press("Enter");
      await page.getByText("✓ The library is sound, and every clip is in its place.").waitFor();
    });

    await report.check("the library goes back to a backup, and forward again", async () => {
      const before = await names();
      if (!before.includes("Ruta Halvorsen")) throw new Error(`the coaches are ${before}`);
      const back = async (n) => {
        await list(page).nth(n).getByRole("button").press("Enter");
        await page.getByRole("dialog").getByRole("button", { name: "Go back" }).press("Enter");
        await page.getByText(/^The library is what it was in the backup of /).waitFor();
      };
      await back(0);
      await until("the ledger as it was", async () => !(await names()).includes("Ruta Halvorsen"));
      const naming = page.getByRole("dialog", { name: "Who is marking?" });
      await naming.waitFor(); // as it was then
      await page.keyboard.press("Escape");
      await naming.waitFor({ state: "detached" }); // nothing beside it takes a key while it is open
      await until("what it was until now", async () => (await list(page).count()) === 2);
      await back(0);
      await until("the coach again", async () => (await names()).includes("Ruta Halvorsen"));
      same(await names(), before, "the coaches");
    });

    await report.check("a row that points nowhere is found, and a repair keeps the rest", async () => {
      await run("sqlite3", [join(library, "ledger.db"), "INSERT INTO clip VALUES ('stray', 'nowhere', 'stray.mp4', '/nowhere/stray.mp4', 'print', 7, 3000, 0, 1, 12800, 60, 1920, 1080, '', 1, 0)"]);
      await page.getByRole("button", { name: "Look through the library" }).press("Enter");
      await page.getByRole("button", { name: "Repair: keep what can be kept" }).press("Enter");
      await page.getByText(/^Repaired: /).waitFor();
      same(await ledger(library, "SELECT id FROM clip WHERE id = 'stray'"), [], "the stray row");
      same((await ledger(library, "SELECT count(*) AS n FROM clip"))[0].n, 1, "the clips");
      await page.getByRole("button", { name: "Look through the library" }).press("Enter");
      await page.getByText("✓ The library is sound, and every clip is in its place.").waitFor();
    });

    await report.check("a library that cannot be opened says so, and goes back to its backup from the window", async () => {
      await close();
      await run(program, ["--library", broken, "add", film, "--session", "2026-01-15"]);
      rmSync(join(broken, "backups"), { recursive: true }); // the next command makes one with the first clip in it
      await run(program, ["--library", broken, "add", join(root, "testdata/clips/a02_vfr_phone.mp4"), "--session", "2026-01-16"]);
      const file = openSync(join(broken, "ledger.db"), "r+");
      writeSync(file, Buffer.alloc(2000, 0xff), 0, 2000, 100); // the list of tables is gone
      closeSync(file);
      ({ page, complaints, close } = await open(await serve(stage, broken)));
      await page.getByRole("heading", { name: "This library is damaged" }).waitFor();
      await page.getByRole("button", { name: /^Go back to the backup/ }).last().press("Enter");
      await page.getByRole("dialog").getByRole("button", { name: "Go back" }).press("Enter");
      await page.locator("[data-clip]").waitFor();
      if (!readdirSync(join(broken, "backups")).some((n) => n.startsWith("ledger-damaged-"))) throw new Error("the damaged ledger is not set aside");
      same((await ledger(broken, "PRAGMA integrity_check"))[0].integrity_check, "ok", "the ledger");
    });

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

await play("safety", keep);
