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

// Written out here: what an engine makes of a day differs from one to the next.
const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

/** "14 March"; "" where it is no day. */
export function dayAndMonth(day: string): string {
  const t = parse(day);
  if (Number.isNaN(t)) return "";
  const d = new Date(t);
  return `${d.getUTCDate()} ${MONTHS[d.getUTCMonth()]}`;
}

/** "14 Mar"; "" where it is no day. */
export function dayShort(day: string): string {
  return dayAndMonth(day).replace(/ (\w{3})\w*$/, " $1");
}

/** "Saturday, 14 March 2026"; "" where it is no day. */
export function dayInWords(day: string): string {
  const t = parse(day);
  if (Number.isNaN(t)) return "";
  const d = new Date(t);
  return `${WEEKDAYS[d.getUTCDay()]}, ${dayAndMonth(day)} ${d.getUTCFullYear()}`;
}

/**
 * The day that most films were recorded on, the earliest of several such days, and
 * where it comes from; "" where none of them says one. `films` are the days that
 * they say, "" for none.
 */
export function recordingDay(films: readonly string[]): { day: string; say: string } {
  const said = films.filter((d) => d !== "");
  const count = (day: string) => said.filter((d) => d === day).length;
  const days = [...new Set(said)].toSorted((a, b) => count(b) - count(a) || a.localeCompare(b));
  const [day = "", next] = days;
  if (day === "") return { day, say: "" };
  if (next !== undefined) {
    const which = count(next) < count(day) ? "the day of most of them" : "the earliest of them";
    return { day, say: `The films were recorded on ${days.length} different days, by the camera’s clock: this is ${which}.` };
  }
  const of =
    films.length === 1
      ? "the film was"
      : said.length === films.length
        ? "the films were"
        : `${said.length} of the ${films.length} films ${said.length === 1 ? "was" : "were"}`;
  return {
    day,
    say: `The day on which ${of} recorded, by the camera’s clock${said.length < films.length ? "; the others do not say" : ""}.`,
  };
}
