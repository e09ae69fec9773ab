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
      run: () => void p.mark(f),
    }));
  const faster = (by: 1 | -1) => {
    const next = RATES[RATES.indexOf(p.settings.rate) + by];
    if (next !== undefined) void p.choose({ rate: next });
  };
  return [
    k.bind("passOn", () => p.on()),
    k.bind("passNext", (r) => p.arrow(1, r)),
    k.bind("passBefore", (r) => p.arrow(-1, r)),
    k.bind("passAgain", () => void p.repeat()),
    k.bind("passContact", () => p.contact()),
    k.bind("passHold", () => p.hold()),
    k.bind("passMissed", () => void p.outcome()),
    k.bind("passForehand", () => void p.side("forehand")),
    k.bind("passBackhand", () => void p.side("backhand")),
    k.bind("passSlower", () => faster(-1)),
    k.bind("passFaster", () => faster(1)),
    k.bind("passLeaveOut", () => p.skip()),
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
