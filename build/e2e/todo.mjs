// What is still to do, on Sessions: clips without turns, turns without strokes and
// turns that nobody has looked through; by keys from there to the clip, and the list
// follows what is done in it and elsewhere.
import { join } from "node:path";
import { open, program, serve } from "./program.mjs";
import { play, root, run, same, until } from "./stage.mjs";

const film = (name) => join(root, "testdata/clips", name);

async function work(stage, report) {
  const library = join(stage.dir, "library");
  await run(program, ["--library", library, "add", film("a01_baseline.mp4"), "--session", "2026-03-14"]);
  await run(program, ["--library", library, "add", film("a02_vfr_phone.mp4"), "--session", "2026-03-15"]);
  await stage.screen("1366x768");
  const { page, complaints, close } = await open(await serve(stage, library), { width: 1366, height: 768 });
  const list = page.getByRole("listbox", { name: "What is to do" });
  const rows = () => list.getByRole("option").allInnerTexts().then((all) => all.map((t) => t.split("\n").map((s) => s.trim()).filter(Boolean).join(" | ")));
  const chosen = () => list.locator("[aria-selected=true]").getAttribute("data-row");
  const atFrame = (n) => page.locator(`output[data-frame='${n}']`).waitFor();
  const says = (text) => page.getByRole("heading", { name: text, exact: true }).waitFor();
  const ids = {};

  try {
    await report.check("a count says how much is to do; one key opens the list", async () => {
      const naming = page.getByRole("dialog", { name: "Who is marking?" });
      await naming.getByLabel("Your name").fill("Ruta Halvorsen");
      await naming.getByRole("button", { name: "That is me" }).click();
      await naming.waitFor({ state: "detached" });
      await page.getByRole("button", { name: "To do: 2 clips F10" }).waitFor();
      await page.keyboard.press("F10");
      await says("To do: 2 clips");
      same(await rows(), ["a02_vfr_phone.mp4 | no turn yet", "a01_baseline.mp4 | no turn yet"], "the list");
    });

    await report.check("Enter opens a clip that has no turns", async () => {
      await page.keyboard.press("ArrowDown");
      await page.keyboard.press("Enter");
      await atFrame(0);
      await page.getByText("a01_baseline.mp4").first().waitFor();
    });

    await report.check("turns that are given come up in place of their clip", async () => {
      Object.assign(ids, await page.evaluate(async () => {
        const { Catalogue, Sessions, Strokes, Turns } = window.go.main;
        const at = { up_to: "2026-03-14", count: 1, clip: "" };
        const clip = (await Sessions.List(at)).sessions[0].clips[0].id;
        const drill = (await Catalogue.Get()).drills[0].id;
        const player = async (name) => (await Catalogue.SavePlayer({ id: "", name, hand: "right" })).id;
        const turn = async (player_id, first, last) => (await Turns.Save({ id: "", clip_id: clip, player_id, drill_id: drill, first, last })).id;
        const played = await turn(await player("Mira Lindqvist"), 0, 30);
        const untouched = await turn(await player("Oda Brandt"), 31, 74);
        for (const frame of [10, 20]) await Strokes.Add(clip, frame, "good");
        return { clip, played, untouched };
      }));
      await page.reload();
      await page.getByRole("button", { name: "To do: 2 turns, 1 clip F10" }).click();
      await says("To do: 2 turns, 1 clip");
      const all = await rows();
      same([all.length, all[0]], [3, "a02_vfr_phone.mp4 | no turn yet"], "the list");
      if (!/^Mira Lindqvist.*2 strokes \| not looked at$/.test(all[1]) || !/^Oda Brandt.*\| not looked at \| no strokes yet$/.test(all[2])) throw new Error(`the list is ${all.join(" // ")}`);
    });

    await report.check("Enter opens a turn without strokes at its first frame, and the list is there again on the way back", async () => {
      await page.keyboard.press("End");
      await until("the last is chosen", async () => (await chosen()) === ids.untouched);
      await page.getByRole("button", { name: "Open the turn to log its strokes Enter" }).waitFor();
      await page.keyboard.press("Enter");
      await atFrame(31);
      await page.keyboard.press("F5");
      await says("To do: 2 turns, 1 clip");
      await until("the same is chosen", async () => (await chosen()) === ids.untouched);
    });

    await report.check("it is restricted by keys to a player and a fault", async () => {
      await page.keyboard.press("p");
      await page.keyboard.type("mira");
      await says("To do: 1 turn");
      await page.keyboard.press("Enter");
      await page.getByRole("button", { name: "Look through 1 turn from here Enter" }).waitFor();
      await page.keyboard.press("f");
      await page.keyboard.type("late");
      await until("the fault", () => page.getByRole("listbox", { name: "Fault (f)" }).locator("[aria-selected=true]").innerText().then((t) => /late/i.test(t)));
      await says("To do: 1 turn");
      await page.keyboard.press("Escape");
    });

    await report.check("Enter starts the pass on a turn that nobody has looked at, and Escape leaves it as it was", async () => {
      await list.focus();
      await page.keyboard.press("Enter");
      const pass = page.locator("[data-pass]");
      await pass.waitFor();
      same(await pass.getAttribute("data-pass"), ids.played, "the turn of the pass");
      await page.keyboard.press("Escape");
      await pass.waitFor({ state: "detached" });
      await page.keyboard.press("F5");
      await says("To do: 1 turn");
    });

    await report.check("what another program looks through is gone from it, and comes back with undo", async () => {
      const looking = run(program, ["--library", library, "mark", ids.clip]);
      looking.child.stdin.end("look 0\n");
      await looking;
      await says("Nothing to do");
      await page.getByRole("button", { name: "Show everything" }).click();
      await says("To do: 1 turn, 1 clip");
      await page.keyboard.press("Control+z");
      await says("To do: 2 turns, 1 clip");
      await page.keyboard.press("Control+Shift+z");
      await says("To do: 1 turn, 1 clip");
    });

    await report.check("what a coach has not looked at alone is counted by itself", async () => {
      const own = page.getByRole("checkbox", { name: /Not looked at by me/ });
      await page.evaluate(async () => {
        const { Catalogue, Library } = window.go.main;
        await Library.SetCoach((await Catalogue.SaveCoach({ id: "", name: "Bea Holm" })).id);
      });
      await page.reload();
      await page.getByRole("button", { name: "To do: 1 turn, 1 clip F10" }).click();
      await own.check();
      await says("To do: 2 turns, 1 clip");
      await page.getByText("not looked at by you", { exact: true }).first().waitFor();
    });

    await report.check("closed, it counts everything again, and the clip says what nobody has looked at", async () => {
      await page.keyboard.press("F10");
      await page.getByRole("button", { name: "To do: 1 turn, 1 clip F10" }).waitFor();
      await page.locator("article").filter({ hasText: "a01_baseline.mp4" }).getByText("1 turn not looked at").waitFor();
      same(await page.locator("article").filter({ hasText: "a02_vfr_phone.mp4" }).getByText("not looked at").count(), 0, "the other clip says so too");
    });
    same(complaints, [], "what the page complained of");
  } finally {
    await close();
  }
}

await play("todo", work);
