// Every screen, leaf and dialog of the invented club in windows of four sizes and with
// larger text: nothing is cut, nothing scrolls sideways, and what answers a form is seen.
//
//   node build/e2e/sizes.mjs [FOLDER]    writes a picture of each view into the folder
import { join } from "node:path";
import { play, same, sleep } from "./stage.mjs";
import { everyView } from "./views.mjs";

/** Windows, and the size of the text, percent. */
const SIZES = [
  { width: 1366, height: 768, text: 100 },
  { width: 1100, height: 700, text: 100 },
  { width: 1920, height: 1080, text: 100 },
  { width: 1366, height: 768, text: 150 },
  { width: 1366, height: 768, text: 200 },
];
const pictures = process.argv[2];

/** What is wrong with the page as it is laid out now, a line a thing. Runs in the page. */
function faults() {
  const wrong = [];
  const say = (what, e) => wrong.push(`${what}: <${e.tagName.toLowerCase()} class="${e.className?.baseVal ?? e.className}"> ${(e.textContent ?? "").replace(/\s+/g, " ").trim().slice(0, 50)}`);
  const shows = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const top = [...document.querySelectorAll("dialog[open]")].at(-1) ?? document.body;

  for (const e of top.querySelectorAll("*")) {
    if (!shows(e)) continue;
    const style = getComputedStyle(e);
    // The row of a turn's strokes is as long as the turn, and keeps the stroke of the moment in view.
    if (/auto|scroll/.test(style.overflowX) && e.scrollWidth > e.clientWidth + 1 && !e.matches(".strokes, input, textarea, select")) {
      say(`scrolls sideways, ${e.scrollWidth} in ${e.clientWidth}`, e);
    }
  }

  const walker = document.createTreeWalker(top, NodeFilter.SHOW_TEXT);
  for (let text = walker.nextNode(); text; text = walker.nextNode()) {
    const e = text.parentElement;
    if (!text.data.trim() || !shows(e) || e.closest("option, script, style, .strokes")) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    const box = range.getBoundingClientRect();
    if (box.width === 0) continue;
    const whole = e.closest("[data-whole]") !== null;
    let [left, right, upper, lower] = [0, innerWidth, -Infinity, Infinity];
    let meant = false; // cut with an ellipsis, by the will of who wrote it
    for (let a = e; a && a !== document.documentElement; a = a.parentElement) {
      const style = getComputedStyle(a);
      if (style.position === "fixed") break;
      if (!whole && (style.textOverflow === "ellipsis" || style.webkitLineClamp !== "none")) meant = true;
      const b = a.getBoundingClientRect();
      const painted = /strict|content|paint/.test(style.contain);
      if (painted || style.overflowX !== "visible") [left, right] = [Math.max(left, b.left), Math.min(right, b.right)];
      if (/hidden|clip/.test(style.overflowY) || (painted && style.overflowY === "visible")) [upper, lower] = [Math.max(upper, b.top), Math.min(lower, b.bottom)];
      else if (style.overflowY !== "visible") break; // what lies below can be scrolled to
    }
    if (meant) continue;
    const over = Math.max(left - box.left, box.right - right, upper - box.top - 2, box.bottom - lower - 2);
    if (over > 1.5) say(`cut by ${over.toFixed(0)} px`, e);
  }

  // What answers a form, and the leaves of a summary, are in sight.
  for (const e of top.querySelectorAll(".answers .button, form button.main, [aria-label='Part of the summary'] button")) {
    if (!shows(e)) continue;
    const b = e.getBoundingClientRect();
    if (b.top < 0 || b.bottom > innerHeight + 1 || b.right > innerWidth + 1) say(`out of sight, at ${b.top.toFixed(0)} of ${innerHeight}`, e);
  }
  return [...new Set(wrong)];
}

async function look(stage, report) {
  let views = 0;
  const bad = [];
  const complaints = await everyView(stage, SIZES[0], async (name, page) => {
    views++;
    const found = [];
    // No dialog is wider than a small screen.
    const dialog = (await page.locator("dialog[open]").count()) > 0;
    for (const size of SIZES.filter((s) => !dialog || s.width < 1900)) {
      await page.setViewportSize(size);
      await page.evaluate((percent) => {
        document.documentElement.style.fontSize = `${percent}%`;
        return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
      }, size.text);
      const title = `${size.width}×${size.height} at ${size.text} %`;
      found.push(...(await page.evaluate(faults)).map((f) => `${title}: ${f}`));
      if (pictures) await page.screenshot({ path: join(pictures, `${String(views).padStart(2, "0")} ${name.replaceAll("/", " ")} ${size.width} ${size.text}.png`) });
    }
    await page.evaluate(() => (document.documentElement.style.fontSize = "100%"));
    await page.setViewportSize(SIZES[0]);
    if (found.length === 0) return;
    bad.push(name);
    console.log([`# ${name}`, ...found].join("\n#   "));
  });
  await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  await report.check(`${views} views at ${SIZES.length} sizes`, async () => same(bad, [], "views with faults"));
}

await play("sizes", look);
