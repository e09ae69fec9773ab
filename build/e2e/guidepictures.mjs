// Draws the pictures of the guide in the window from the invented club, as the page shows it.
//
//   node build/e2e/guidepictures.mjs LIBRARY [NAME...]    all pictures, or those named
import { cpSync, mkdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { open, serve } from "./program.mjs";
import { play, root, run, sleep } from "./stage.mjs";

const [from, ...chosen] = process.argv.slice(2);
const out = join(root, "frontend/src/guide/pictures");

await play("guidepictures", async (stage) => {
  const library = join(stage.dir, "library");
  cpSync(from, library, { recursive: true });
  mkdirSync(out, { recursive: true });
  await stage.screen("1600x1200");
  const { page, close } = await open(await serve(stage, library), { width: 1100, height: 700 });
  const dialog = page.getByRole("dialog");
  const button = (name, of = page) => of.getByRole("button", { name }).first();

  /** Keeps the window, a part of it, or what some parts of it cover together. */
  async function shoot(name, ...parts) {
    await page.mouse.move(1099, 699);
    await sleep(800); // thumbnails and charts
    const boxes = await Promise.all(parts.map((p) => p.boundingBox()));
    const margin = 6;
    const x = Math.max(0, Math.min(...boxes.map((b) => b.x)) - margin);
    const y = Math.max(0, Math.min(...boxes.map((b) => b.y)) - margin);
    const clip = { x, y, width: Math.max(...boxes.map((b) => b.x + b.width)) + margin - x, height: Math.max(...boxes.map((b) => b.y + b.height)) + margin - y };
    const png = join(stage.dir, `${name}.png`);
    await page.screenshot({ path: png, ...(parts.length > 0 && { clip }) });
    const file = join(out, `${name}.webp`);
    await run("convert", [png, "-strip", "-quality", "80", "-define", "webp:method=6", file]);
    console.log(`ok ${name}.webp, ${Math.round(statSync(file).size / 1000)} kB`);
  }

  async function review(clip) {
    await page.keyboard.press("F5");
    await page.locator("[data-clip]").filter({ hasText: clip }).click();
    await page.locator(".transport .clip").filter({ hasText: clip }).waitFor();
    await page.locator("output[data-frame]:not([data-frame='-1'])").waitFor();
    await sleep(1500); // the sound is heard
  }
  const frame = async (n) => {
    await page.keyboard.press("Control+g");
    await dialog.getByRole("textbox").fill(String(n));
    await page.keyboard.press("Enter");
    await page.locator(`output[data-frame='${n}']`).waitFor();
  };
  const leaf = (name) => page.getByRole("group", { name: "Part of the summary" }).getByRole("button", { name, exact: true }).click();
  const player = (name) => page.getByRole("group", { name: "Whose sheet" }).getByRole("button", { name }).click();
  const tab = (group, name) => page.getByRole("group", { name: group }).getByRole("button", { name }).click();
  const toMark = async () => {
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("ArrowDown");
    await sleep(600);
  };

  const pictures = {
    sessions: () => shoot("sessions"),
    review: async () => {
      await review("09-08-one");
      await toMark();
      await page.keyboard.press("Escape"); // the list goes
      await shoot("review");
    },
    zoom: async () => {
      await review("09-08-one");
      await toMark();
      await page.keyboard.press("Escape");
      const at = await page.locator(".picture").first().boundingBox();
      await page.mouse.move(at.x + at.width * 0.27, at.y + at.height * 0.76);
      for (let i = 0; i < 4; i++) await page.mouse.wheel(0, -120);
      await shoot("zoom", page.locator(".stage"));
      await page.keyboard.press("Control+0");
    },
    beside: async () => {
      await review("09-08-one");
      await toMark();
      await page.keyboard.press("Escape");
      await page.keyboard.press(".");
      await page.keyboard.press(".");
      await sleep(500);
      await page.keyboard.press("Alt+b");
      await page.keyboard.press("F2");
      await dialog.getByRole("combobox").fill("10-13-two");
      await page.keyboard.press("Enter");
      await page.locator('[data-side="1"]').getByText("10-13-two").waitFor();
      for (let i = 0; i < 3; i++) await page.keyboard.press(".");
      await sleep(800);
      await page.keyboard.press("Enter");
      await page.getByText(/^Locked: frame/).waitFor();
      await shoot("beside");
      await page.keyboard.press("Escape");
    },
    marks: async () => {
      await review("09-08-one");
      await page.keyboard.press("F10");
      await page.locator(".entry.mark .go").nth(2).click();
      await shoot("marks");
      await page.keyboard.press("F10");
    },
    listening: async () => {
      await review("five-open");
      await frame(100);
      await page.keyboard.press("}");
      await sleep(500);
      await shoot("listening", page.locator(".stage"));
    },
    ruler: async () => {
      await review("09-08-one");
      await page.keyboard.press("Control+m");
      const panel = page.getByRole("region", { name: "Ruler" });
      await panel.getByText("The table was found by itself.").waitFor();
      await page.keyboard.press("+");
      await panel.getByText("The lines fit well.").waitFor();
      await shoot("ruler");
    },
    dots: async () => {
      const strokes = page.getByRole("region", { name: "Measured strokes" });
      await button("Measure the strokes", strokes).click();
      await button(/^Stop/, strokes).waitFor({ state: "detached", timeout: 120000 });
      await strokes.locator("circle, [data-dot]").first().waitFor({ timeout: 120000 });
      await shoot("dots", strokes);
      await page.keyboard.press("Escape");
    },
    pass: async () => {
      await page.keyboard.press("F5");
      await page.locator("[data-clip]").filter({ hasText: "09-08-one" }).focus();
      await page.keyboard.press("Shift+Enter");
      await page.locator(".pass[data-stroke]").waitFor();
      await page.keyboard.press("ArrowDown");
      await shoot("pass");
      await page.keyboard.press("Escape");
    },
    summary: async () => {
      await page.keyboard.press("F7");
      await player("Davor");
      await page.getByRole("region", { name: "Work on next" }).waitFor();
      await shoot("summary");
    },
    drills: async () => {
      await page.keyboard.press("F7");
      await player("Davor");
      await leaf("Drill by drill");
      await shoot("drills");
      await leaf("Faults");
    },
    film: async () => {
      await page.keyboard.press("F7");
      await player("Tomas");
      await page.locator("details.out summary").click();
      await button("of marks or good strokes…").click();
      await shoot("film", dialog);
      await page.keyboard.press("Escape");
      await page.keyboard.press("Escape");
    },
    family: async () => {
      await page.keyboard.press("F7");
      await player("Tomas");
      await page.locator("details.out summary").click();
      await page.setViewportSize({ width: 900, height: 1500 });
      await button("family's page…").click();
      await dialog.locator("iframe").waitFor();
      const sheet = page.frameLocator("iframe").locator("main, body").first();
      await sheet.locator("img").first().waitFor({ timeout: 60000 });
      await shoot("family", sheet);
      await page.setViewportSize({ width: 1100, height: 700 });
      await page.keyboard.press("Escape");
      await page.keyboard.press("Escape");
    },
    agreement: async () => {
      await page.keyboard.press("F12");
      await tab("What to show", "How far you agree");
      await page.setViewportSize({ width: 1366, height: 768 });
      await shoot("agreement");
      await page.setViewportSize({ width: 1100, height: 700 });
    },
    club: async () => {
      await page.keyboard.press("F8");
      await tab("What to edit", /^Faults/);
      await page.locator(".rows button").first().click();
      await shoot("club");
    },
    consent: async () => {
      await page.keyboard.press("F8");
      await tab("What to edit", /^Players/);
      await page.locator(".rows button").first().click();
      await page.locator("form").getByText("Delete after").or(page.locator("form").getByText(/everything/)).first().scrollIntoViewIfNeeded();
      await shoot("consent");
    },
    library: async () => {
      await page.keyboard.press("F8");
      await tab("What to edit", /^Library/);
      await page.locator(".path").first().evaluate((e) => (e.textContent = "club/backups")); // no place of one computer
      await shoot("library");
    },
  };
  try {
    for (const [name, draw] of Object.entries(pictures)) {
      // The dots are those of the clip under the ruler.
      if (chosen.length === 0 || chosen.includes(name) || (name === "ruler" && chosen.includes("dots"))) await draw();
    }
  } finally {
    await close();
  }
});
