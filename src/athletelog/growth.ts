import { dayNumber } from './calendar-day.ts';
import type { Athlete } from './schema.ts';

/** A length of an athlete on a day. */
export interface LengthOnDay {
  readonly metres: number;
  /** 'measured' on that day or carried on from the last one; 'between' two measurements, by straight line. */
  readonly from: 'measured' | 'between' | 'later-measured';
  /** Days from the nearest measurement to the day, 0 or more. */
  readonly ageDays: number;
  /** True when the nearest measurement is so far off that a growing athlete should be measured again. */
  readonly isOld: boolean;
}

/** Days after which a growing athlete's length counts as old. Chosen: at a growth spurt's 9 cm a year (common practice, no source) 90 days are 2 cm. */
export const GROWTH_OLD_DAYS = 90;

/**
 * Standing height or leg length of an athlete on a day, out of the dated measurements: between two by straight line, after the
 * last one that one, before the first one that one (said as 'later-measured'). Null when none is stored.
 */
export function lengthOn(athlete: Athlete, what: 'heightM' | 'legLengthM', date: string): LengthOnDay | null {
  const day = dayNumber(date);
  const known = athlete.growth
    .flatMap((entry) => (entry[what] === null ? [] : [{ day: dayNumber(entry.date), metres: entry[what] }]))
    .toSorted((a, b) => a.day - b.day);
  const before = known.findLast((entry) => entry.day <= day);
  const after = known.find((entry) => entry.day >= day);
  if (before !== undefined && after !== undefined && after.day > before.day) {
    const share = (day - before.day) / (after.day - before.day);
    const ageDays = Math.min(day - before.day, after.day - day);
    return { metres: before.metres + share * (after.metres - before.metres), from: 'between', ageDays, isOld: ageDays > GROWTH_OLD_DAYS };
  }
  const nearest = before ?? after;
  if (nearest === undefined) return null;
  const ageDays = Math.abs(day - nearest.day);
  return { metres: nearest.metres, from: before === undefined ? 'later-measured' : 'measured', ageDays, isOld: ageDays > GROWTH_OLD_DAYS };
}

/** How much the athlete grew between two days in percent of the earlier height (or leg length, when no height is stored); null when not known on both. */
export function grewPercent(athlete: Athlete, from: string, to: string): number | null {
  for (const what of ['heightM', 'legLengthM'] as const) {
    const [a, b] = [lengthOn(athlete, what, from), lengthOn(athlete, what, to)];
    if (a !== null && b !== null) return 100 * (b.metres / a.metres - 1);
  }
  return null;
}
