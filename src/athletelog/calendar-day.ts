/** Whole days from 1 January 1970 to a date written YYYY-MM-DD. Throws RangeError for anything that is no date. */
export function dayNumber(date: string): number {
  const ms = /^\d{4}-\d{2}-\d{2}$/.test(date) ? Date.parse(`${date}T00:00:00Z`) : Number.NaN;
  // "2025-02-30" parses in some engines: only what comes back the same is a date.
  if (!Number.isFinite(ms) || new Date(ms).toISOString().slice(0, 10) !== date) throw new RangeError(`no date: ${date}`);
  return ms / 86_400_000;
}
