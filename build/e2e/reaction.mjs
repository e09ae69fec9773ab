// How long the coach takes to press a key: typed under Club, and measured there.
import { ledger } from "./program.mjs";
import { same, until } from "./stage.mjs";

export async function checkReaction({ page, report, library }) {
  const field = page.getByLabel("Reaction, seconds");
  const kept = async () => (await ledger(library, "SELECT reaction FROM coach WHERE gone = 0"))[0].reaction;
  const save = page.getByRole("button", { name: "Save", exact: true });

  await report.check("a coach's reaction is typed, refused where it is none, and emptied again", async () => {
    await page.keyboard.press("F8");
    await page.getByRole("group", { name: "What to edit" }).getByRole("button", { name: /^Coaches/ }).click();
    await page.locator(".rows").getByRole("button", { name: /Ruta Halvorsen/ }).click();
    await field.fill("soon");
    await save.click();
    await page.getByText("The reaction is a number of seconds from 0 to 3").waitFor();
    for (const [written, wanted] of [["0,52", 0.52], ["", 0]]) {
      await field.fill(written);
      await save.click();
      await until(`${wanted} in the ledger`, async () => (await kept()) === wanted);
      await page.waitForTimeout(800); // until the form shows what was kept
    }
  });

  await report.check("it is measured: a wrong key is said, and twelve good ones give a time that Enter takes over", async () => {
    await page.getByRole("button", { name: "Measure the reaction…" }).click();
    const dialog = page.getByRole("dialog");
    await dialog.getByRole("button", { name: /^Begin/ }).waitFor();
    await page.keyboard.press("Enter");
    const label = dialog.locator(".key");
    const done = (n) => until(`${n} of 12`, async () => (await dialog.getByText(`${n} of 12`).count()) === 1);
    await done(0);
    await page.keyboard.press("q");
    await dialog.getByText("Too early: wait for the fault.").waitFor();
    await label.waitFor();
    await page.waitForTimeout(150);
    await page.keyboard.press("%");
    await dialog.getByText(/That was “%”: the key of \S+ is “.”/).waitFor();
    for (let n = 0; n < 12; n++) {
      await done(n);
      await label.waitFor();
      await page.waitForTimeout(250);
      await page.keyboard.press(await label.innerText());
    }
    const take = dialog.getByRole("button", { name: /^Take \d\.\d\d s over/ });
    await take.waitFor();
    const seconds = Number(/\d\.\d\d/.exec(await take.innerText())[0]);
    if (seconds < 0.25 || seconds > 1) throw new Error(`it took ${seconds} s`);
    await page.keyboard.press("Enter");
    await dialog.waitFor({ state: "detached" });
    same(await kept(), seconds, "the ledger");
    same(await field.inputValue(), seconds.toFixed(2), "the form");
  });
}
