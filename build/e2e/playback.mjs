// Playing and stepping in the page, on the real backend: single fields, loops,
// speeds, and the choice between several videos and sounds of one file.
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, sleep, until } from "./stage.mjs";

const clips = ["a09_mbaff_tff.ts", "a37_two_audio.mkv", "a27_two_videos.mkv"];

async function act(stage, report) {
  const library = join(stage.dir, "library");
  await stage.screen("1600x1000");
  await run(program, ["--library", library, "add", ...clips.map((c) => join(root, "testdata/clips", c)), "--session", "2026-03-02"]);
  const { page, complaints, close } = await open(await serve(stage, library));
  const frame = async () => Number(await page.locator("output[data-frame]").getAttribute("data-frame"));
  const where = () => page.locator(".where").innerText();
  const title = async () => `${await page.locator(".bench").innerText()} ${await page.locator(".transport .clip").getAttribute("title")}`;
  const press = (...keys) => keys.reduce((before, key) => before.then(() => page.keyboard.press(key)), Promise.resolve());
  const at = (n) => until(`frame ${n}`, async () => (await frame()) === n);
  const show = async (name) => {
    await press("F5");
    await page.getByText(name, { exact: true }).click(); // not the undo of adding it
    await until(name, async () => (await title()).includes(name) && (await frame()) === 0);
  };
  try {
    await page.getByText(clips[0]).waitFor();
    await press("Escape"); // a new library asks who is marking

    await report.check("an interlaced clip says so, and is stepped by field", async () => {
      await show(clips[0]);
      if (!(await title()).includes("interlaced")) throw new Error(`the title says ${await title()}`);
      await press("ArrowRight");
      await at(1);
      await press("Control+ArrowRight");
      await until("the second field of frame 1", async () => /frame\s*1\s.*0:00\.060\s*field 2/s.test(await where()));
      await press("Control+ArrowRight");
      await until("the first field of frame 2", async () => /frame\s*2\s.*0:00\.080\s*field 1/s.test(await where()));
      await press("ArrowLeft");
      await until("the whole frame 1", async () => (await frame()) === 1 && !(await where()).includes("field"));
    });

    await report.check("playing goes round between two frames, slower", async () => {
      await press("Home");
      for (let n = 1; n <= 5; n++) await press("ArrowRight");
      await at(5);
      await press("(");
      for (let n = 6; n <= 9; n++) await press("ArrowRight");
      await at(9);
      await press(")", "Control+ArrowDown");
      if (!/on/.test((await page.locator(".rates button", { hasText: /^0\.5×$/ }).getAttribute("class")) ?? "")) throw new Error("the speed is not 0.5×");
      await press("Space");
      let rounds = 0;
      let last = -1;
      for (const end = Date.now() + 4000; Date.now() < end; ) {
        const n = await frame();
        if (n < 5 || n > 9) throw new Error(`frame ${n} is outside the loop`);
        if (n < last) rounds++;
        last = n;
        await sleep(20);
      }
      await press("Space");
      if (rounds < 3) throw new Error(`only ${rounds} rounds`);
      await press("*");
      if ((await where()).includes("↻")) throw new Error("the loop has not ended");
    });

    await report.check("a drive that does not answer is told of, and the picture comes once it does", async () => {
      await press("Home");
      let answers = false;
      const say = "The drive does not answer: check that it is connected, then try again.";
      await page.route(/\/frame\/30\?/, (r) => (answers ? r.continue() : r.fulfill({ status: 504, contentType: "text/plain", body: say })));
      await press("Control+g", "3", "0", "Enter");
      const told = page.locator(".picture p").filter({ hasText: say });
      await told.waitFor();
      await sleep(2500); // it was asked again
      same(await told.count(), 1, "what is told");
      answers = true;
      await at(30);
      await told.waitFor({ state: "detached" });
      const expected = complaints.filter((c) => c.includes("status of 504"));
      if (expected.length < 2) throw new Error("the picture was not asked for again");
      for (const c of expected) complaints.splice(complaints.indexOf(c), 1);
    });

    await report.check("a file that has not grown says so", async () => {
      await press("F9");
      await page.getByText("has not grown").waitFor();
    });

    for (const [name, what] of [[clips[1], "sound"], [clips[2], "video"]]) {
      await report.check(`the other ${what} can be chosen`, async () => {
        await show(name);
        const list = page.getByLabel(`Which ${what}`);
        same(await list.locator("option").count(), 2, "what there is to choose from");
        const was = Number(await list.inputValue());
        const size = await title();
        await list.selectOption(`${1 - was}`);
        await until("the other one", async () => Number(await list.inputValue()) === 1 - was);
        if (what === "video") await until("its size", async () => (await title()) !== size);
        await until("the bench's keys again", async () => {
          await press("ArrowRight");
          return (await frame()) > 0;
        });
      });
    }
    same(complaints, [], "what the page complains of");
  } finally {
    await close();
  }
}

await play("playback", act);
