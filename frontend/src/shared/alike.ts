// Which letters a reader takes for one, whatever the accent, the case and the script: as the
// browser's own Unicode collation says (UTS 10, its first level, in the order for all
// languages). The program's package alike says the same of whole names.
const order = new Intl.Collator("en", { usage: "search", sensitivity: "base" });

/** What stands for each letter that was met: the first that was like it; "" for accents. */
const letters = new Map<string, string>();

function letter(met: string): string {
  const known = letters.get(met);
  if (known !== undefined) return known;
  let first = met;
  if (order.compare(met, "") === 0) first = "";
  else first = [...new Set(letters.values())].find((l) => order.compare(l, met) === 0) ?? pair(met) ?? met;
  letters.set(met, first);
  return first;
}

/** A letter such as æ, which is read as two. */
function pair(met: string): string | undefined {
  if (!/\p{Script=Latin}/u.test(met) || /[a-z]/.test(met)) return undefined;
  const latin = "abcdefghijklmnopqrstuvwxyz";
  for (const a of latin) {
    for (const b of latin) {
      if (order.compare(a + b, met) === 0) return letter(a) + letter(b);
    }
  }
  return undefined;
}

/** The same for texts that read alike: "Léa", "LEA" and "lea". It is no text to be shown. */
export function likeness(text: string): string {
  // Upper case first: ß becomes ss.
  const parts = text.normalize("NFKD").toUpperCase().toLowerCase().normalize("NFKD");
  return [...parts].map(letter).join("").split(/\s+/).filter(Boolean).join(" ");
}

/** Whether every word of a search stands in a text, read alike. */
export function finds(search: string, text: string): boolean {
  const within = likeness(text);
  return likeness(search)
    .split(" ")
    .every((word) => within.includes(word));
}
