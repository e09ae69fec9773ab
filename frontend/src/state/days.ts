// Calendar days written year-month-day. A day has no clock and no zone.

const DAY = 86_400_000;

function parse(day: string): number {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(day)) return NaN;
  const t = Date.parse(`${day}T00:00:00Z`);
  // 2026-02-30 parses in some engines: a day must come back as it was written.
  return Number.isNaN(t) || format(t) !== day ? NaN : t;
}

function format(t: number): string {
  return new Date(t).toISOString().slice(0, 10);
}

function move(day: string, by: number): string {
  const t = parse(day);
  return Number.isNaN(t) ? day : format(t + by * DAY);
}

export const dayBefore = (day: string): string => move(day, -1);
export const dayAfter = (day: string): string => move(day, 1);

/** So many days before; the same text back where it is no day. */
export const daysBefore = (day: string, by: number): string => move(day, -by);

/** Today where the computer stands. */
export function today(now = new Date()): string {
  return format(Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()));
}

/** "Saturday, 14 March 2026"; "" where it is no day. */
export function dayInWords(day: string): string {
  const t = parse(day);
  if (Number.isNaN(t)) return "";
  return new Date(t).toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
}
