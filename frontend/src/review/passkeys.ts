import type { Bench } from "./bench.svelte";
import { modelInPass } from "./models";
import type { Pass } from "./pass.svelte";
import type { Binding } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";
import { RATES } from "./loop";

/** The keys of a pass, which with those of `standardKeys` has the keyboard to itself but for undo and the sheet of keys. */
export function passKeys(k: Keymap, p: Pass): readonly Binding[] {
  const faults = p.faults
    .filter((f) => f.key !== "")
    .map((f): Binding => ({
      press: [f.key],
      help: `${f.code}: ${f.label}; again takes it off`,
      group: "Faults looked for",
      run: (_, at) => void p.mark(f, at / 1000),
    }));
  const faster = (by: 1 | -1) => {
    const next = RATES[RATES.indexOf(p.settings.rate) + by];
    if (next !== undefined) void p.choose({ rate: next });
  };
  return [
    k.bind("passOn", (_, at) => p.on(at / 1000)),
    k.bind("passNext", (r, at) => p.arrow(1, r, at / 1000)),
    k.bind("passBefore", (r, at) => p.arrow(-1, r, at / 1000)),
    k.bind("passAgain", () => void p.repeat()),
    k.bind("passContact", () => p.contact()),
    k.bind("passHold", () => p.hold()),
    k.bind("passMissed", (_, at) => void p.outcome(at / 1000)),
    k.bind("passForehand", (_, at) => void p.side("forehand", at / 1000)),
    k.bind("passBackhand", (_, at) => void p.side("backhand", at / 1000)),
    k.bind("passSlower", () => faster(-1)),
    k.bind("passFaster", () => faster(1)),
    k.bind("passLeaveOut", (_, at) => p.skip(at / 1000)),
    k.bind("passSettings", () => p.openSettings()),
    k.bind("passEnd", () => p.stop()),
    ...faults,
  ];
}

/** The keys of what faults mean, in a pass. */
export function standardKeys(b: Bench): readonly Binding[] {
  const k = b.app.keymap;
  return [
    k.bind("passModelIs", () => void modelInPass(b, "is")),
    k.bind("passModelIsNot", () => void modelInPass(b, "is not")),
    k.bind("passMeaning", () => b.meaning.toggle()),
  ];
}
