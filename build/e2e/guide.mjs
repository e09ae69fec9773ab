// The guide in the window, on the invented club: it opens at the chapter of the screen, says
// the coach's own keys, shows its pictures, finds words, and is printed as a whole.
//
//   node build/e2e/guide.mjs [FOLDER]    writes a picture of each view into the folder
import { cpSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, open, serve } from "./program.mjs";
import { play, same, sleep, until } from "./stage.mjs";

const pictures = process.argv[2];

async function act(stage, report) {
  const club = await inventedClub(stage);
  await stage.screen("1600x1000");
  // The invented club that the first screen opens is there already: drawing it takes minutes.
  stage.env.XDG_DATA_HOME = join(stage.dir, "data");
  cpSync(club, join(stage.dir, "data/strokeledger/invented-club"), { recursive: true });
  const { page, complaints, close } = await open(await serve(stage, join(stage.dir, "own")), { width: 1366, height: 768 });
  const shoot = (name) => (pictures ? page.screenshot({ path: join(pictures, `${name}.png`) }) : undefined);
  const guide = page.getByRole("dialog", { name: "Guide" });
  const text = guide.locator("article");
  const at = (title) => text.getByRole("heading", { level: 2, name: title, exact: true }).waitFor();
  const closed = () => guide.waitFor({ state: "detached" });
  const opens = async (title) => {
    await page.keyboard.press("F1");
    await at(title);
    await page.keyboard.press("Escape");
    await closed();
  };

  try {
    await report.check("a new library asks who marks, and the guide is there before the answer", async () => {
      const who = page.getByRole("dialog", { name: "Who is marking?" });
      await who.getByRole("button", { name: "What is this program for?" }).click();
      await at("What this is for");
      await shoot("start");
      await page.keyboard.press("Escape");
      await closed();
      await who.getByLabel("Your name").fill("Jo Lind");
      await page.keyboard.press("Enter");
      await who.waitFor({ state: "detached" });
    });

    await report.check("the first screen opens the guide and the invented club, and leads back to the own library", async () => {
      await page.getByRole("button", { name: "Read the guide…" }).click();
      await at("What this is for");
      await page.keyboard.press("F1"); // the key that opens it closes it
      await closed();
      await page.getByRole("button", { name: "Look at the invented club first…" }).click();
      await page.getByText("This is the invented club: nobody in it is real").waitFor();
      await page.locator("[data-clip]").first().waitFor();
      // No picture is asked for any more when its library closes.
      await until("the pictures", () => page.evaluate(() => [...document.querySelectorAll("[data-clip]")].every((c) => c.querySelector("img")?.naturalWidth > 0)));
      await page.getByRole("button", { name: "To your own library" }).click();
      await page.getByRole("heading", { name: "No clips yet" }).waitFor();
      await page.getByRole("button", { name: "Look at the invented club first…" }).click();
      await page.locator("[data-clip]").first().waitFor();
    });

    await report.check("it opens at the chapter of what one is doing", async () => {
      await opens("A session and its clips");
      await page.locator("[data-clip]").filter({ hasText: "09-08-one" }).click();
      await page.locator("output[data-frame='0']").waitFor();
      await opens("Marking faults with keys");
      await page.keyboard.press("Alt+b");
      await page.locator('[data-side="1"] output').waitFor();
      await opens("Two pictures side by side");
      // Over a dialog, which waits as it was.
      await page.keyboard.press("Control+s");
      await page.locator("dialog input").fill("Two of Tu");
      await opens("Two pictures side by side");
      await page.keyboard.type("esday");
      same(await page.locator("dialog input").inputValue(), "Two of Tuesday", "what was written before and after the guide");
      await page.keyboard.press("Escape");
      await page.keyboard.press("Control+g"); // no dialog of the bench here
      same(await page.locator("dialog").count(), 0, "dialogs");
      await page.keyboard.press("Escape");
      await page.locator("[data-side]").first().waitFor({ state: "detached" });
      await page.keyboard.press("Control+e");
      await opens("Moving through a clip");
      await page.keyboard.press("Control+e");
      await page.keyboard.press("Control+g");
      await page.locator("dialog input").fill("12");
      await opens("Moving through a clip");
      same(await page.locator("dialog input").inputValue(), "12", "the frame that was written");
      await page.keyboard.press("Enter");
      await page.locator("output[data-frame='12']").waitFor();
      await page.keyboard.press("Control+m");
      await opens("The ruler, and what is measured");
      await page.keyboard.press("Control+m");
      for (const [key, title] of [["F7", "The summary and its numbers"], ["F8", "The club and its faults"], ["F12", "Two coaches: do you mean the same?"]]) {
        await page.keyboard.press(key);
        await opens(title);
      }
      await page.keyboard.press("F8");
      await page.getByRole("group", { name: "What to edit" }).getByRole("button", { name: "Library" }).click();
      await opens("Keeping it all, and backups");
    });

    await report.check("a pass waits while somebody reads", async () => {
      await page.keyboard.press("F6");
      await page.locator("output[data-frame]").waitFor();
      await page.keyboard.press("Shift+Enter");
      await page.locator(".pass[data-stroke]").waitFor();
      await sleep(300);
      await opens("The pass");
      await page.getByText(/^held at frame/).waitFor();
      await page.keyboard.press("Escape");
      await page.locator("[data-pass]").waitFor({ state: "detached" });
    });

    await report.check("every chapter is whole at three sizes, and all its pictures are there", async () => {
      for (const [width, height, percent] of [[1100, 700, 100], [1366, 768, 100], [1366, 768, 150]]) {
        await page.setViewportSize({ width, height });
        await page.evaluate((p) => (document.documentElement.style.fontSize = `${p}%`), percent);
        await page.keyboard.press("F1");
        const chapters = guide.getByRole("navigation").locator("ol button");
        const count = await chapters.count();
        if (count < 13) throw new Error(`there are ${count} chapters`);
        for (let i = 0; i < count; i++) {
          await chapters.nth(i).click();
          await at(await chapters.nth(i).innerText());
          const wrong = await text.evaluate(async (e) => {
            const out = [];
            for (const img of e.querySelectorAll("img")) {
              await img.decode().catch(() => {});
              if (img.naturalWidth < 200 || img.clientWidth < 200) out.push(`${img.alt}: no picture`);
            }
            if (e.scrollWidth > e.clientWidth) out.push("it scrolls sideways");
            if (e.closest("dialog").scrollHeight > e.closest("dialog").clientHeight + 1) out.push("the dialog scrolls");
            return out;
          });
          same(wrong, [], `what is wrong in chapter ${i + 1} at ${width}`);
          if (i < 2 || i === 9) await shoot(`chapter ${i + 1} ${width} ${percent}`);
        }
        await page.keyboard.press("Escape");
        await closed();
      }
      await page.evaluate(() => (document.documentElement.style.fontSize = ""));
    });

    await report.check("words are found, also without their accents, and lead to their place", async () => {
      await page.keyboard.press("F1");
      await guide.getByLabel("Search the guide").fill("CONSÉNT group");
      await guide.getByText(/^\d+ places?$/).waitFor();
      await guide.locator(".hits button").filter({ hasText: "Consent of several" }).first().click();
      await at("Children, pain, consent");
      await until("the place", () => text.locator(".here").evaluate((e) => {
        const [a, b] = [e.getBoundingClientRect(), e.closest("article").getBoundingClientRect()];
        return a.top >= b.top && a.bottom <= b.bottom;
      }));
      await shoot("search");
      await guide.getByLabel("Search the guide").fill("zebra");
      await guide.getByText("0 places").waitFor();
      await guide.getByLabel("Search the guide").fill("");
      await text.getByRole("button", { name: "consent" }).or(guide.getByRole("button", { name: "The pass", exact: true })).first().click();
      await at("The pass");
      await text.getByRole("button", { name: /^Next:/ }).click();
      await at("The ruler, and what is measured");
    });

    await report.check("it is printed: one chapter, or all of them, and nothing of the window", async () => {
      await page.evaluate(() => (window.print = () => (window.printed = document.querySelectorAll(".paper section").length)));
      const printed = async (name) => {
        await page.evaluate(() => (window.printed = 0));
        await guide.getByRole("button", { name }).click();
        return until("the printer", () => page.evaluate(() => window.printed));
      };
      same(await printed("Print this chapter"), 1, "chapters printed");
      await page.evaluate(() => dispatchEvent(new Event("afterprint")));
      const all = await printed("Print all");
      same(all, await guide.getByRole("navigation").locator("ol button").count(), "chapters printed");
      await page.emulateMedia({ media: "print" });
      same(await page.locator(".paper").isVisible(), true, "whether the paper shows");
      for (const hidden of [".desk", "dialog"]) same(await page.locator(hidden).first().isVisible(), false, `whether ${hidden} shows`);
      const pdf = await page.pdf({ format: "A4", margin: { top: "15mm", bottom: "15mm", left: "15mm", right: "15mm" }, ...(pictures && { path: join(pictures, "guide.pdf") }) });
      const sides = pdf.toString("latin1").match(/\/Type\s*\/Page\b/g).length;
      if (sides < all || sides > 2 * all) throw new Error(`${all} chapters take ${sides} sides of A4`);
      await page.emulateMedia({ media: null });
      await page.evaluate(() => dispatchEvent(new Event("afterprint")));
      await page.locator(".paper").waitFor({ state: "detached" });
      await page.keyboard.press("Escape");
      await closed();
    });

    await report.check("a key that the coach has changed stands in the guide, and is found there", async () => {
      await page.keyboard.press("?");
      await page.getByRole("dialog").getByRole("button", { name: "Change keys" }).click();
      await page.locator('[data-action="repeatFault"]').getByRole("button", { name: "Change" }).click();
      await page.keyboard.press("Insert");
      await page.getByRole("dialog").getByText("Kept: Insert is").waitFor();
      await page.keyboard.press("Escape");
      await page.keyboard.press("?");
      await page.getByRole("dialog").getByRole("button", { name: "Guide" }).click();
      await guide.getByLabel("Search the guide").fill("insert last fault");
      await guide.locator(".hits button").first().click();
      await at("Marking faults with keys");
      await text.locator("li").filter({ hasText: "Insert marks the last fault once more" }).waitFor();
      await guide.getByLabel("Search the guide").fill("");
      await page.keyboard.press("Escape");
      await closed();
    });

    await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  } finally {
    await close();
  }
}

await play("guide", act);
