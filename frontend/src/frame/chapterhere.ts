import type { Bench } from "../review/bench.svelte";
import type { App } from "../shared/app.svelte";
import type { SummaryState } from "../summary/summary.svelte";

/** The chapter of the guide that is about what is on the screen now, or about the dialog over it. */
export function chapterHere(app: App, bench: Bench, summary: SummaryState): string {
  const asked = [...document.querySelectorAll<HTMLElement>("dialog[open]")].at(-1)?.dataset["chapter"];
  if (asked) return asked;
  if (!app.open) return "start";
  switch (app.screen) {
    case "sessions":
      return "sessions";
    case "review":
      if (!app.place) return "sessions";
      if (bench.pass.active) return "pass";
      if (bench.beside.active) return "beside";
      if (bench.ruler.on) return "ruler";
      if (bench.pictures.adjusting) return "picture";
      if (bench.ledger.turns.length === 0) return "listening";
      return "marks";
    case "summary":
      return summary.tab === "measured" ? "ruler" : "numbers";
    case "agreement":
      return "agreement";
    case "club":
      if (app.clubTab === "library") return "keeping";
      return "club";
  }
}
