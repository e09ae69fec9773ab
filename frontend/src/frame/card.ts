// The keys on one sheet of A4, both sides, as a page that any browser prints.
import { ACTION_IDS, ACTIONS } from "../shared/actions";
import type { Fault } from "../api/domain";
import { cap } from "../shared/keys";
import type { Keymap } from "../shared/keymap.svelte";

function escaped(text: string): string {
  return text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`);
}

/** The actions under the names of their groups, in the order of the table. */
export function grouped(): [string, (typeof ACTION_IDS)[number][]][] {
  const groups = new Map<string, (typeof ACTION_IDS)[number][]>();
  for (const id of ACTION_IDS) groups.set(ACTIONS[id].group, [...(groups.get(ACTIONS[id].group) ?? []), id]);
  return [...groups];
}

/** A whole HTML page; it needs nothing else and asks for nothing. */
export function card(keymap: Keymap, faults: readonly Fault[], club: string): string {
  const row = (keys: readonly string[], help: string) =>
    `<tr><td>${keys.map((k) => `<kbd>${escaped(cap(k))}</kbd>`).join(" ")}</td><td>${escaped(help)}</td></tr>`;
  const section = (title: string, rows: string[]) => `<section><h2>${escaped(title)}</h2><table>${rows.join("")}</table></section>`;
  const sections = [
    section(
      "Faults of this team",
      faults.filter((f) => f.key !== "").map((f) => row([f.key], `${f.code}: ${f.label}`)),
    ),
    ...grouped().map(([title, ids]) =>
      section(
        title,
        ids.map((id) => row(keymap.of(id), ACTIONS[id].help)),
      ),
    ),
  ];
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Keys: ${escaped(club)}</title>
<style>
@page { size: A4; margin: 9mm; }
body { margin: 0; font: 7.4pt/1.2 sans-serif; color: #000; background: #fff; }
h1 { margin: 0 0 2mm; font-size: 12pt; }
main { columns: 3; column-gap: 5mm; }
section { break-inside: avoid; margin-bottom: 2mm; }
h2 { margin: 0; font-size: 8pt; border-bottom: 0.4mm solid #000; }
table { width: 100%; border-collapse: collapse; }
tr { break-inside: avoid; }
td { padding: 0.35mm 0; vertical-align: top; border-bottom: 0.1mm solid #bbb; }
td:first-child { width: 19mm; padding-right: 1.5mm; }
kbd { font: inherit; font-weight: 700; white-space: nowrap; }
@media screen { body { max-width: 60rem; margin: 1rem auto; padding: 0 1rem; font-size: 0.9rem; } td:first-child { width: 8rem; } }
@media screen and (max-width: 50rem) { main { columns: 1; } }
</style>
<h1>Keys: ${escaped(club)}</h1>
<main>
${sections.join("\n")}
</main>
</html>
`;
}
