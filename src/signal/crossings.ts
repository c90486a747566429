import { checkTimes } from './runs.ts';

/** A moment at which a signal passes a level. */
export interface Crossing {
  /** Seconds, between the two frames around it. */
  readonly t: number;
  readonly rising: boolean;
}

/** The moments at which the values pass `level`, in order, between frames by straight line; a value exactly on the level counts once, a touch without passing does not. Nothing crosses a gap. */
export function crossings(times: Float64Array, values: Float64Array, level: number): readonly Crossing[] {
  checkTimes(times, values);
  const found: Crossing[] = [];
  let side = 0;
  let sideAt = -1;
  for (let i = 0; i < values.length; i += 1) {
    const above = values[i]! - level;
    if (!Number.isFinite(above)) {
      side = 0;
      continue;
    }
    if (above === 0) continue;
    if (side !== 0 && Math.sign(above) !== side) {
      // With values lying exactly on the level between, the crossing is the middle of that stretch.
      const t = i - sideAt === 1
        ? between(times[sideAt]!, times[i]!, (level - values[sideAt]!) / (values[i]! - values[sideAt]!))
        : (times[sideAt + 1]! + times[i - 1]!) / 2;
      found.push({ t, rising: above > 0 });
    }
    side = Math.sign(above);
    sideAt = i;
  }
  return found;
}

/** The time at a share of the way, never past the later one by rounding. */
function between(from: number, to: number, share: number): number {
  return Math.min(to, from + (to - from) * share);
}
