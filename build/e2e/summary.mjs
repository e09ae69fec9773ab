// The summary in the page, on the real backend: what to work on, a cell opened
// down to its frame, a rung set by hand and taken back, the club's cap of tries.
// It stands on what browser.mjs has entered: one player, five strokes, one mark.
import { ledger } from "./program.mjs";
import { same, until } from "./stage.mjs";

export async function checkSummary({ page, report, library, fault, player, atFrame, painted }) {
  const leaf = (name) => page.getByRole("group", { name: "Part of the summary" }).getByRole("button", { name }).press("Enter");
  const rulings = () => ledger(library, "SELECT passed, reason FROM ruling WHERE gone = 0");

  await report.check("work on next stands at the top of a player's sheet, and does not make much of five strokes", async () => {
    await page.keyboard.press("Control+g");
    await page.keyboard.type("41");
    await page.keyboard.press("Enter");
    await atFrame(41);
    await page.keyboard.press(fault.key);
    await until("the second mark", async () => (await ledger(library, "SELECT count(*) AS n FROM mark WHERE gone = 0"))[0].n === 2);
    await page.keyboard.press("F7");
    await page.getByRole("group", { name: "Whose sheet" }).getByRole("button", { name: player }).press("Enter");
    const work = page.getByRole("region", { name: "Work on next" });
    await work.waitFor();
    const text = (await work.innerText()).replaceAll("\u00a0", " "); // a number keeps its sign on one line
    for (const wanted of [`Cannot tell yet whether ${fault.code}, `, "more strokes", "common practice, without a source", "the coach decides"]) {
      if (!text.includes(wanted)) throw new Error(`it does not say ${wanted}: ${text}`);
    }
  });

  await report.check("the family's page is looked at and printed, in plain words, and the film is chosen", async () => {
    await page.locator("details.out summary").press("Enter");
    await page.getByRole("button", { name: "family's page…" }).press("Enter");
    const frame = page.frameLocator("iframe");
    await frame.getByText("One thing to work on").waitFor();
    const text = await frame.locator("body").innerText();
    if (text.includes(player)) throw new Error("it shows the full name, which nobody has asked for");
    if (text.includes("%") || text.includes(fault.code)) throw new Error(`it is not plain: ${text}`);
    await page.locator("iframe").evaluate((f) => (f.contentWindow.print = () => (window.printed = true)));
    await page.getByRole("button", { name: "Print, or save as PDF…" }).press("Enter");
    same(await page.evaluate(() => window.printed), true, "printing");
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: "of marks or good strokes…" }).press("Enter");
    await page.getByRole("dialog").getByLabel("Slower").waitFor();
    await page.getByRole("dialog").getByLabel("Picture").selectOption("player");
    await page.getByRole("dialog").getByText("first each moment is looked at for it").waitFor();
    await page.keyboard.press("Escape");
    await page.getByRole("dialog").waitFor({ state: "detached" });
    await page.keyboard.press("Escape");
  });

  await report.check("in the smallest window the leaves stay in sight, and Save of a form", async () => {
    const size = page.viewportSize();
    const inSight = async (what) => {
      const box = await what.boundingBox();
      if (!box || box.y < 0 || box.y + box.height > page.viewportSize().height) throw new Error(`out of sight: ${JSON.stringify(box)}`);
    };
    for (const wanted of [
      { width: 1100, height: 700 },
      { width: 1366, height: 768 },
    ]) {
      await page.setViewportSize(wanted);
      await page.keyboard.press("F7");
      await page.locator(".summary > .page").evaluate((e) => (e.scrollTop = 1e6));
      await inSight(page.getByRole("group", { name: "Part of the summary" }));
      await page.locator(".summary > .page").evaluate((e) => (e.scrollTop = 0));
      await page.keyboard.press("F8");
      for (const tab of ["Players", "Drills", "Faults"]) {
        await page.getByRole("group", { name: "What to edit" }).getByRole("button", { name: tab }).click();
        await page.locator(".rows button").first().click();
        await inSight(page.locator("form .answers .button.main"));
      }
    }
    await page.setViewportSize(size);
    await page.keyboard.press("F7");
  });

  await report.check("a circle of the stroke's phases opens the marks of that phase, by key alone", async () => {
    await page.getByRole("button", { name: /: 2 of 2\. Open to see them\.$/ }).press("Enter");
    await page.getByRole("dialog").getByText(/^Faults of the phase /).waitFor();
    await until("both marks", async () => (await page.getByRole("dialog").getByRole("button", { name: /frame/ }).count()) === 2);
    await page.keyboard.press("Escape");
  });

  await report.check("a cell of the grid opens down to its frame, by key alone", async () => {
    await leaf("Drill by drill");
    await page.getByRole("button", { name: new RegExp(`^2/5 .*${fault.code} .*: 2 of 5 strokes`) }).press("Enter");
    await page.getByRole("dialog").getByRole("button", { name: /frame 41/ }).press("Enter");
    await atFrame(41);
    same(await painted(page), 41, "the number painted");
  });

  await report.check("a mark of the chart of sessions opens by key too", async () => {
    await page.keyboard.press("F7");
    await leaf("Over time");
    await page.getByText(/too early to tell: 1 of the 3 sessions/).first().waitFor();
    await page.locator(".pick [role=button]").first().press("Enter");
    await page.getByRole("dialog").getByRole("button", { name: /frame 25/ }).waitFor();
    await page.keyboard.press("Escape");
  });

  await report.check("a rung is set by hand with a reason, and undone", async () => {
    await leaf("Ladder");
    const rung = page.getByRole("region", { name: "The rung" });
    await rung.getByText("Not passed yet").waitFor();
    await rung.getByRole("button", { name: "Set by hand…" }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("button", { name: "Save" }).click();
    await dialog.getByRole("alert").waitFor();
    same(await rulings(), [], "the ledger without a reason");
    await dialog.getByLabel("Why").fill("Ten clean ones at the tournament.");
    await dialog.getByRole("button", { name: "Save" }).click();
    await dialog.waitFor({ state: "detached" });
    same(await rulings(), [{ passed: 1, reason: "Ten clean ones at the tournament." }], "the ledger");
    await rung.getByText("Ten clean ones at the tournament.").waitFor();
    await page.keyboard.press("Control+z");
    await rung.getByText("Not passed yet").waitFor();
    same(await rulings(), [], "the ledger after undo");
  });

  await report.check("the ladder stops gently at the club's cap of tries", async () => {
    await page.getByRole("button", { name: "Change", exact: true }).click();
    await page.getByLabel("Tries a day at one rung").fill("1");
    await page.getByRole("dialog").getByRole("button", { name: "Save" }).click();
    await page.locator(".today.enough").waitFor();
  });

  await report.check("the player is compared with nobody where there is nobody else", async () => {
    await leaf("Compare");
    await page.getByRole("button", { name: "Another player, or the club" }).click();
    await page.getByRole("combobox").last().selectOption({ label: "the rest of the club" });
    await page.getByText("both need turns in this period").waitFor();
    await page.keyboard.press("F6");
    await atFrame(41);
  });
}
