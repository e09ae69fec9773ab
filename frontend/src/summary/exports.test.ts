import { afterEach, expect, it, vi } from "vitest";
import type { SummaryQuery } from "../api/domain";
import { App } from "../shared/app.svelte";
import { ExportState, type FilmChoice } from "./exports.svelte";

afterEach(() => vi.unstubAllGlobals());

const choice: FilmChoice = { good: false, fault: "f", most: 3, lead: 0.5, follow: 1, slow: 8, cut_out: false };
const query = { players: ["p"], from: "", to: "", names: false } as unknown as SummaryQuery;

/** The page beside a program that makes a film until `end` is called. */
function filming() {
  let emit: (p: { job: string; done: number; total: number }) => void = () => undefined;
  let end: (cause?: Error) => void = () => undefined;
  const Documents = {
    Reel: () =>
      new Promise((made, failed) => (end = (cause) => (cause ? failed(cause) : made({ path: "/a.mp4", pieces: 2, seconds: 3, say: "" })))),
    StopReel: () => Promise.resolve(end(new Error("failed: Stopped."))),
  };
  vi.stubGlobal("window", {
    go: { main: { Documents } },
    runtime: { EventsOn: (_: string, heard: typeof emit) => ((emit = heard), () => undefined) },
  });
  const app = new App();
  const writing = new ExportState(app);
  writing.listen();
  return {
    app,
    writing,
    progress: (done: number, total: number) => emit({ job: "reel", done, total }),
    end: (cause?: Error) => end(cause),
  };
}

it("says that a film is made once its place is chosen, and how far it is", async () => {
  const { app, writing, progress, end } = filming();
  const film = writing.film(query, choice);
  expect([writing.filming, writing.making, app.message.text]).toEqual([true, false, "Choose where the film shall go; then it is made."]);
  progress(0, 0);
  expect([writing.making, app.message.text]).toEqual([true, "The film is being made…"]);
  progress(25, 100);
  expect([writing.done, writing.total]).toEqual([25, 100]);
  end();
  await film;
  expect([writing.filming, writing.making, app.message]).toEqual([
    false,
    false,
    { text: "Written: /a.mp4, 2 moments. ", wrong: false, path: "/a.mp4" },
  ]);
});

it("tells a film that the coach stopped from one that failed", async () => {
  const { app, writing, progress, end } = filming();
  let film = writing.film(query, choice);
  progress(0, 0);
  await writing.stop();
  await film;
  expect(app.message).toEqual({ text: "Stopped: the film was not written.", wrong: false });
  film = writing.film(query, { ...choice, good: true });
  end(new Error("failed: The disk is full: free some space, then try again."));
  await film;
  expect(app.message).toEqual({ text: "The disk is full: free some space, then try again.", wrong: true });
});
