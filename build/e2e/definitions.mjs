// What each fault means: written, changed with the question what older marks mean, and
// pictures of what it is and is not taken from marks by one key, in Review and in a pass.
import { writeFile } from "node:fs/promises";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { inventedClub, ledger, open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

/** The record of the commands' own test: a turn of three strokes, with what one coach marked. */
function record() {
  const script = readFileSync(join(root, "app/testdata/script/definitions.txtar"), "utf8");
  return script.slice(script.indexOf("-- record.json --\n") + "-- record.json --\n".length);
}

async function work(stage, report) {
  const library = join(stage.dir, "library");
  const file = join(stage.dir, "record.json");
  await writeFile(file, record());
  await run(program, ["--library", library, "add-record", file]);
  await run(program, ["--library", library, "add", join(root, "testdata/clips/a01_baseline.mp4"), "--session", "2026-03-14"]);
  // Two coaches have looked through the turn and said the same of two of its strokes.
  const command = (...args) => run(program, ["--library", library, ...args]);
  await command("second-look", "--coach", "Jo Lind", "--first", "Bea Holm", "--begin");
  const marking = command("mark", "k1");
  marking.child.stdin.end("10 LATE\n25 ELBOW\nlook 0\n");
  await marking;
  await command("second-looks", "--finish");
  await stage.screen("1366x768");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const shot = (name) => (process.env.SHOTS ? page.screenshot({ path: join(process.env.SHOTS, `${name}.png`) }) : Promise.resolve());
  const listed = async () => JSON.parse((await run(program, ["--library", library, "definitions", "--fault", "ELBOW", "--json"])).stdout)[0];
  const tab = (name) => page.getByRole("group", { name: "What to show" }).getByRole("button", { name }).click();

  try {
    await report.check("a definition is written; what older marks mean is asked first", async () => {
      await page.keyboard.press("F12");
      await tab("Definitions");
      await page.getByRole("button", { name: /^ELBOW/ }).click();
      await page.getByLabel("What counts").fill("The elbow leaves the trunk before the racket goes forward.");
      await page.getByLabel("What does not").fill("A high ball, where it has to.");
      await page.getByRole("button", { name: "Save" }).click();
      const dialog = page.getByRole("dialog", { name: "Do older marks still mean the same?" });
      await dialog.waitFor();
      same((await listed()).history.length, 0, "definitions before the answer");
      await shot("definitions-older");
      await dialog.getByRole("button", { name: "Cannot say" }).click();
      await page.getByText("Nobody can say whether older marks mean the same.").waitFor();
      same((await listed()).history.map((h) => h.older), ["unknown"], "what was said of older marks");
    });

    await report.check("one key in Review takes the picture of a mark", async () => {
      await page.keyboard.press("F5");
      await page.locator("[data-clip]").click();
      await page.keyboard.press("F10"); // the lists
      await page.locator("button.go").filter({ hasText: "ELBOW" }).first().click();
      await page.keyboard.press("Alt+i");
      await until("a picture of what it is", async () => (await listed()).models.filter((m) => m.is && m.frame === 25).length === 1);
      await page.keyboard.press("ArrowRight");
      await page.keyboard.press("Alt+n");
      await until("a picture of what it is not", async () => (await listed()).models.filter((m) => !m.is && m.frame === 26).length === 1);
      await page.keyboard.press("Alt+n");
      await until("the same key takes it back", async () => (await listed()).models.length === 1);
      await page.keyboard.press("Control+z");
      await until("undo brings it back", async () => (await listed()).models.length === 2);
    });

    await report.check("one key shows below the picture what a fault means, of another one by the pointer or the focus", async () => {
      const line = page.getByRole("region", { name: "What it means" });
      const picture = () => page.locator(".picture").first().evaluate((e) => e.getBoundingClientRect().bottom);
      const before = await picture();
      await page.keyboard.press("Alt+d");
      await line.getByText("The elbow leaves the trunk before the racket goes forward.").waitFor();
      await line.getByText("A high ball, where it has to.").waitFor();
      same(await line.getAttribute("data-fault"), "ELBOW", "the fault of the selected mark");
      const top = await line.evaluate((e) => e.getBoundingClientRect().top);
      if (!((await picture()) <= top && top < before)) throw new Error(`the picture ends at ${await picture()}, ended at ${before}; the line begins at ${top}`);
      const late = page.getByRole("region", { name: "Fault codes" }).getByRole("button", { name: /LATE/ });
      await late.hover();
      await line.getByText("Not defined yet").waitFor();
      await shot("meaning-in-review");
      await page.mouse.move(5, 400);
      await line.getByText("The elbow leaves").waitFor();
      await late.focus();
      await page.keyboard.press("Tab");
      await page.keyboard.press("Shift+Tab");
      await until("the focus shows another fault", async () => (await line.getAttribute("data-fault")) === "LATE");
      await page.evaluate(() => document.activeElement.blur());
      await page.keyboard.press("F10"); // the picture has all the room
      await line.getByText("The elbow leaves").waitFor();
      await shot("meaning-folded");
      await page.keyboard.press("F10");
      await page.keyboard.press("Shift+Enter");
      await page.locator("[data-pass]").waitFor();
      await line.getByText("What counts:").waitFor();
      await shot("meaning-in-pass");
      await page.keyboard.press("Alt+d");
      await line.waitFor({ state: "detached" });
      await page.keyboard.press("Escape");
      await page.locator("[data-pass]").waitFor({ state: "detached" });
      await page.locator("[aria-label=Picture]").waitFor();
      same(await line.count(), 0, "lines once it is put away");
    });

    await report.check("the pictures stand beside the definition", async () => {
      await page.keyboard.press("F12");
      await until("two pictures are shown", async () => page.evaluate(() => [...document.querySelectorAll("figure img")].filter((i) => i.complete && i.naturalWidth > 0).length === 2));
      await shot("definitions");
      await page.getByRole("button", { name: "Take away" }).first().click();
      await page.getByText("No picture yet.").waitFor();
      await page.keyboard.press("Control+z");
      await until("undo brings it back", async () => (await page.locator("figure img").count()) === 2);
    });

    await report.check("the page for the wall is looked at", async () => {
      await page.getByRole("button", { name: "Look and print…" }).click();
      const wall = page.frameLocator("iframe");
      await wall.getByRole("heading", { name: "What each fault means" }).waitFor();
      await wall.getByText("The elbow leaves the trunk before the racket goes forward.").waitFor();
      await shot("wall-in-window");
      await page.keyboard.press("Escape");
    });

    await report.check("a new coach is tested, and sees nothing of what was marked meanwhile", async () => {
      await page.getByLabel("Who is marking").selectOption({ label: "Nora New" });
      await page.getByText("Nora New is marking now.").waitFor();
      await tab("Self-test");
      await page.getByRole("button", { name: "Begin a test of Nora New" }).click();
      await page.getByText("0 of 3 strokes answered").waitFor();
      same(await page.evaluate(async () => (await window.go.main.Bench.Ledger("k1")).marks.length), 0, "marks that show");
      same(await page.evaluate(async () => (await window.go.main.Agreement.Tests())[0].strokes.flatMap((s) => s.right)), [], "what is settled");
      await shot("self-test");
      for (let i = 0; i < 3; i++) {
        const stroke = await page.locator("[data-stroke]").getAttribute("data-stroke");
        if (stroke === "s1") await page.keyboard.press("l");
        if (stroke === "s1") await page.getByRole("button", { name: /LATE/, pressed: true }).waitFor();
        await page.keyboard.press("Enter");
        await page.getByText(`${i + 1} of 3 strokes answered`).waitFor();
      }
    });

    await report.check("how it went comes in words, with what is settled beside the definition", async () => {
      await page.getByRole("button", { name: "Finish, and see how it went" }).click();
      await page.getByText("Of 1 ELBOW, you saw 0.").waitFor();
      await page.getByText("On 2 of 3 strokes you saw just what is settled.").waitFor();
      await page.getByRole("button", { name: /≠/ }).click();
      await page.getByText("settled is ELBOW").waitFor();
      await page.getByText("The elbow leaves the trunk before the racket goes forward.").waitFor();
      await shot("self-test-result");
      same((await page.evaluate(async () => (await window.go.main.Bench.Ledger("k1")).marks.length)) > 0, true, "marks show again");
      const { stdout } = await command("self-test");
      for (const line of ["Of 1 ELBOW, you saw 0.", "Of 1 LATE, you saw 1.", "3 strokes are few"]) if (!stdout.includes(line)) throw new Error(stdout);
    });

    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

/** On the invented club, whose films show people: pictures cut to the player, with the face made unrecognisable or not. */
async function wall(stage, report) {
  const library = join(await inventedClub(stage), "library");
  const command = (...args) => run(program, ["--library", library, ...args]);
  await report.check("the page for the wall has pictures, with the face made unrecognisable or not", async () => {
    const marks = await ledger(library, "SELECT m.clip_id, m.frame, f.code FROM mark m JOIN fault f ON f.id = m.fault_id WHERE m.gone = 0 GROUP BY f.code ORDER BY f.code LIMIT 4");
    for (const [i, m] of marks.entries()) {
      const shows = i % 2 ? "is-not" : "is";
      await command("model", m.clip_id, "--frame", `${m.frame}`, "--fault", m.code, "--shows", shows);
      await command("define", m.code, "--counts", `${m.code} counts where the hand comes back too late for the ball.`, "--not", "A ball that nobody could have reached.", "--older", "same");
    }
    const file = join(stage.dir, "wall.html");
    const sizes = [];
    for (const more of [[], ["--faces"]]) {
      const { stdout } = await command("wall", "--out", file, "--unconsented", ...more);
      const n = Number(/with (\d+) picture/.exec(stdout)[1]);
      if (n < 2) throw new Error(`only ${n} of ${marks.length} pictures: ${stdout}`);
      sizes.push(readFileSync(file, "utf8"));
      same((sizes.at(-1).match(/<img /g) ?? []).length, n, "pictures on the page");
    }
    if (sizes[0] === sizes[1]) throw new Error("faces are shown either way");
    const none = (await command("wall", "--out", file)).stdout;
    if (!/with \d+ picture/.test(none)) throw new Error(none);
    if (process.env.SHOTS) await writeFile(join(process.env.SHOTS, "wall.html"), sizes[0]);
  });
}

await play("definitions", async (stage, report) => {
  await work(stage, report);
  await wall(stage, report);
});
