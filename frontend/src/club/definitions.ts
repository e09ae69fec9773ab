// What a club defines, and how each definition is shown and edited: one
// declaration a kind, drawn by one list and one form.
import { catalogue as calls } from "../api/api";
import {
  BALLS,
  HANDS,
  FAULT_MEASURES,
  METHODS,
  PHASES,
  PLACEMENTS,
  SIDES,
  type Catalogue,
  type Coach,
  type Drill,
  type Fault,
  type Player,
} from "../api/domain";
import { consentTag } from "../shared/consent.svelte";
import { dayInWords, today } from "../shared/days";
import { USUAL } from "./reaction.svelte";

export interface Row {
  id: string;
  retired?: boolean;
}

export interface FieldOf<T extends Row> {
  name: keyof T & string;
  label: string;
  /** A day is written year-month-day and may be empty; a number of seconds, or of another unit, may be empty too, which is 0. */
  kind: "text" | "short" | "long" | "number" | "seconds" | "choice" | "day";
  /** What stands above this field and those that follow. */
  heading?: string;
  options?: readonly string[];
  /** What an option is called, where it is not its own name. */
  word?: (option: string) => string;
  /** A field whose unit hangs on this one, and which is emptied with every choice. */
  clears?: keyof T & string;
  /** Of a number that may be empty; 2 if unsaid. */
  decimals?: number;
  hint?: string;
  /** A remark on what stands in the form now, "" for none. */
  remark?: (row: T, c: Catalogue) => string;
}

export interface Kind<T extends Row> {
  plural: string;
  word: string;
  rows: (c: Catalogue) => T[];
  blank: (c: Catalogue) => T;
  title: (row: T) => string;
  more: (row: T) => string;
  /** A sign before the title: a fault's key. */
  sign?: (row: T) => string;
  /** A word of warning beside the title, "" for none. */
  tag?: (row: T) => string;
  /** What has to be borne in mind, under the form. */
  about?: string;
  fields: readonly FieldOf<T>[];
  save: (row: T) => Promise<T>;
  empty: string;
}

/** Seconds as a field shows them: two decimals if not said otherwise, and nothing for 0. */
export function secondsText(v: unknown, decimals = 2): string {
  if (typeof v === "string") return v;
  return typeof v === "number" && v !== 0 ? v.toFixed(decimals) : "";
}

/** Seconds as they were written, to a hundredth; 0 for nothing, and -1 for what is no number of seconds, of which the program names the field. */
export function secondsOf(written: string): number {
  if (written === "") return 0;
  return /^\d*[.,]?\d+$/.test(written) ? Math.round(100 * Number(written.replace(",", "."))) / 100 : -1;
}

/** A value as a field shows it: nothing for what is not there. */
export function textOf(v: unknown): string {
  return typeof v === "string" || typeof v === "number" || typeof v === "boolean" ? String(v) : "";
}

/** A form over a row that has changed under it: what was written in the form since `base` stays, the rest is the row's. */
export function merged<T extends Row>(form: T, base: T, row: T): T {
  const next: T = { ...row };
  for (const name of Object.keys(form) as (keyof T)[]) {
    if (textOf(form[name]) !== textOf(base[name])) next[name] = form[name];
  }
  return next;
}

const KEYS = "abcdefghijklmnopqrstuvwxyz1234567890";

/** Letters and digits that no fault in use owns. */
export function freeKeys(faults: readonly Fault[]): string {
  const taken = new Set(faults.filter((f) => !f.retired).map((f) => f.key));
  return [...KEYS].filter((k) => !taken.has(k)).join(" ");
}

/** What is to be said about a fault's key: whose it is already, or which are free. */
export function keyRemark(row: Fault, faults: readonly Fault[]): string {
  const key = row.key.trim().toLowerCase();
  const owner = faults.find((f) => f.id !== row.id && !f.retired && f.key !== "" && f.key === key);
  if (owner) return `“${key}” belongs to ${owner.code} ${owner.label} already.`;
  return `Free: ${freeKeys(faults.filter((f) => f.id !== row.id))}`;
}

export const players: Kind<Player> = {
  plural: "Players",
  word: "player",
  rows: (c) => c.players,
  blank: () => ({
    id: "",
    name: "",
    alias: "",
    hand: "right",
    group: "",
    note: "",
    consent_from: "",
    consent_until: "",
    consent_by: "",
    delete_after: "",
  }),
  title: (p) => p.name,
  more: (p) => [p.group, `${p.hand}-handed`, p.alias && `alias ${p.alias}`].filter(Boolean).join(" · "),
  fields: [
    { name: "name", label: "Name", kind: "text" },
    { name: "alias", label: "Alias", kind: "text", hint: "Shown instead of the name where a page leaves the team." },
    { name: "hand", label: "Racket hand", kind: "choice", options: HANDS },
    { name: "group", label: "Training group", kind: "text" },
    { name: "note", label: "Note", kind: "long" },
    {
      name: "consent_from",
      label: "Consent to film from",
      kind: "day",
      heading: "Consent and deletion",
      hint: "The day from which it holds. Empty: there is none on record.",
      remark: (row) => dayInWords(row.consent_from ?? ""),
    },
    {
      name: "consent_until",
      label: "until",
      kind: "day",
      hint: "The last day. Empty: no end was agreed.",
      remark: (row) => dayInWords(row.consent_until ?? ""),
    },
    { name: "consent_by", label: "Given by", kind: "text", hint: "Who agreed, and how: for a child those who care for it, and the child." },
    {
      name: "delete_after",
      label: "Delete after",
      kind: "day",
      hint: "The day after which the player’s film and entries should be gone.",
      remark: (row) => dayInWords(row.delete_after ?? ""),
    },
  ],
  tag: (p) => (p.retired ? "" : consentTag(p, today())),
  about:
    "Film a child only when the child and those who care for it know what the film is for and have agreed beforehand, in writing. Keep film where only the team can reach it, never show it beside a full name or an address, and delete it when it is asked for or needed no longer. Your club’s policy and the law where you are go first: this program reminds, it does not decide.",
  save: calls.savePlayer,
  empty:
    "No players yet. Add them one by one, or bring in a list: a CSV file, as every spreadsheet saves it, whose first line names the columns: name, and if you like alias, hand, group, note, consent from, consent until, consent by, delete after.",
};

export const drills: Kind<Drill> = {
  plural: "Drills",
  word: "drill",
  rows: (c) => c.drills.toSorted((a, b) => a.rung - b.rung || a.name.localeCompare(b.name)),
  blank: (c) => ({
    id: "",
    name: "",
    method: "regular",
    pattern: "F",
    placement: "diagonal",
    ball: "passive block",
    rung: Math.min(99, Math.max(0, ...c.drills.filter((d) => !d.retired).map((d) => d.rung)) + 1),
    streak: 10,
    note: "",
  }),
  title: (d) => d.name,
  more: (d) =>
    `rung ${d.rung} · ${d.method} · strokes ${d.pattern || "free"} · placement ${d.placement} · ${d.ball} · ${d.streak} in a row`,
  fields: [
    { name: "name", label: "Name", kind: "text" },
    { name: "method", label: "Method", kind: "choice", options: METHODS, hint: "Regular: the next ball is known. Irregular: it is not." },
    { name: "pattern", label: "Strokes in order", kind: "short", hint: "F forehand, B backhand, repeated: FFB. Empty: free." },
    { name: "placement", label: "Placement", kind: "choice", options: PLACEMENTS },
    { name: "ball", label: "Partner’s ball", kind: "choice", options: BALLS },
    { name: "rung", label: "Rung", kind: "number", hint: "Place on the club’s ladder, 1 is the lowest." },
    { name: "streak", label: "Streak target", kind: "number", hint: "Good strokes in a row that open the next rung." },
    { name: "note", label: "Note", kind: "long" },
  ],
  save: calls.saveDrill,
  empty: "No drills yet. Add the exercises of your club’s ladder.",
};

function measureWord(m: string): string {
  switch (m) {
    case "feet":
      return "distance of the feet from the table";
    case "elbow":
      return "elbow below the shoulder";
    case "hand":
      return "hand above the hips on the way back";
  }
  return "nothing that is measured";
}

export const faults: Kind<Fault> = {
  plural: "Faults",
  word: "fault",
  rows: (c) => c.faults.toSorted((a, b) => PHASES.indexOf(a.phase) - PHASES.indexOf(b.phase)),
  blank: () => ({ id: "", code: "", label: "", phase: "ready", sides: "both", cue: "", weight: 2, key: "" }),
  title: (f) => `${f.code}  ${f.label}`,
  more: (f) => `${f.phase} · ${f.sides === "both" ? "both sides" : f.sides} · weight ${f.weight}`,
  sign: (f) => f.key || "·",
  fields: [
    { name: "code", label: "Code", kind: "short", hint: "Up to eight characters without spaces: LATE." },
    { name: "key", label: "Key on the bench", kind: "short", remark: (row, c) => keyRemark(row, c.faults) },
    { name: "label", label: "Label", kind: "text" },
    { name: "phase", label: "Phase of the stroke", kind: "choice", options: PHASES },
    { name: "sides", label: "Strokes it can happen on", kind: "choice", options: SIDES },
    { name: "weight", label: "Weight", kind: "number", hint: "1 to 3; 3 matters most." },
    { name: "cue", label: "Cue", kind: "long", hint: "What the coach says to the player." },
    { name: "measure", label: "Shows in", kind: "choice", options: ["", ...FAULT_MEASURES], word: measureWord, clears: "limit" },
    {
      name: "limit",
      label: "Limit",
      kind: "seconds",
      decimals: 0,
      hint: "Strokes that measure less are suggested. Empty: none yet.",
      remark: (f) =>
        f.measure
          ? `In ${f.measure === "feet" ? "cm" : "percent of the trunk’s length"}. Strokes that measure less are suggested; empty: none yet.`
          : "",
    },
  ],
  save: calls.saveFault,
  empty: "No fault codes yet. Add the faults that your team looks for.",
};

export const coaches: Kind<Coach> = {
  plural: "Coaches",
  word: "coach",
  rows: (c) => c.coaches,
  blank: () => ({ id: "", name: "" }),
  title: (c) => c.name,
  more: (c) => (c.reaction ? `reaction ${c.reaction.toFixed(2)} s` : ""),
  fields: [
    { name: "name", label: "Name", kind: "text" },
    {
      name: "reaction",
      label: "Reaction, seconds",
      kind: "seconds",
      hint: `From seeing a fault to pressing its key, like 0.45; empty: the usual ${USUAL.toFixed(2)}.`,
    },
  ],
  about:
    "The reaction is used while a clip plays: a fault’s key comes that much later than the fault was seen, so the mark is put on the stroke that was to be seen then. It differs from one person to another, and grows with the number of keys to choose among: measure it with the keys that your team uses.",
  save: calls.saveCoach,
  empty: "No coaches yet. Add whoever marks: each mark carries the name of its coach.",
};
