// Every screen and dialog of the invented club, held against axe-core's rules: none
// of serious or critical impact may be broken.
//
//   node build/e2e/access.mjs [FOLDER]    writes a picture of each view into the folder
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { play, root, same, sleep } from "./stage.mjs";
import { everyView } from "./views.mjs";

const axe = readFileSync(createRequire(join(root, "frontend/package.json")).resolve("axe-core/axe.min.js"), "utf8");
const pictures = process.argv[2];

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
  const count = { views: 0, nodes: 0, dialogs: 0 };
  const complaints = await everyView(stage, { width: 1366, height: 768 }, async (name, page) => {
    await sleep(250);
    const { nodes, lines } = await broken(page);
    count.views++;
    count.nodes += nodes;
    count.dialogs += await page.locator("dialog[open]").count();
    if (pictures) await page.screenshot({ path: join(pictures, `${String(count.views).padStart(2, "0")} ${name.replaceAll("/", " ")}.png`) });
    await report.check(name, async () => same(lines, [], "what is broken"));
  });
  await report.check("the page had nothing to complain about", async () => same(complaints, [], "the console"));
  await report.check(`${count.views} views, ${count.dialogs} of them dialogs: nothing serious or critical among ${count.nodes} nodes`, async () => {
    if (count.dialogs < 30) throw new Error(`${count.dialogs} dialogs were reached`);
  });
}

await play("access", look);
