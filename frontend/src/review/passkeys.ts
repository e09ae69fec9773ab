import type { Pass } from "./pass.svelte";
import type { Binding } from "../shared/keys";
import { RATES } from "./viewer.svelte";

const PASS = "The pass";

/** The keys of a pass. It has the keyboard to itself but for undo and the sheet of keys. */
export function passKeys(p: Pass): readonly Binding[] {
  const faults = p.faults
    .filter((f) => f.key !== "")
    .map((f): Binding => ({
      press: [f.key],
      help: `${f.code}: ${f.label}; again takes it off`,
      group: "Faults looked for",
      run: () => void p.mark(f),
    }));
  const faster = (by: 1 | -1) => {
    const next = RATES[RATES.indexOf(p.settings.rate) + by];
    if (next !== undefined) void p.choose({ rate: next });
  };
  return [
    { press: ["Enter"], help: "Nothing more here: the next stroke", group: PASS, run: () => p.on() },
    { press: ["ArrowRight"], help: "The next stroke; one frame on while held", group: PASS, held: true, run: (r) => p.arrow(1, r) },
    { press: ["ArrowLeft"], help: "The stroke before; one frame back while held", group: PASS, held: true, run: (r) => p.arrow(-1, r) },
    { press: ["ArrowUp"], help: "Show the stroke again", group: PASS, run: () => void p.repeat() },
    { press: ["ArrowDown"], help: "Hold the picture at the contact", group: PASS, run: () => p.contact() },
    { press: ["Space"], help: "Hold the picture, and play on", group: PASS, run: () => p.hold() },
    { press: ["-"], help: "The stroke is missed, or good again", group: PASS, run: () => void p.outcome() },
    { press: ["Ctrl+f"], help: "The stroke is a forehand", group: PASS, run: () => void p.side("forehand") },
    { press: ["Ctrl+b"], help: "The stroke is a backhand", group: PASS, run: () => void p.side("backhand") },
    { press: ["Ctrl+ArrowDown"], help: "Slower", group: PASS, run: () => faster(-1) },
    { press: ["Ctrl+ArrowUp"], help: "Faster", group: PASS, run: () => faster(1) },
    { press: ["Delete"], help: "Leave this turn out", group: PASS, run: () => p.skip() },
    { press: ["F2"], help: "What is looked for, and how the pass goes", group: PASS, run: () => p.openSettings() },
    { press: ["Escape"], help: "End the pass", group: PASS, run: () => p.stop() },
    ...faults,
  ];
}
