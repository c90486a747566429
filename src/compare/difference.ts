import { tQuantile } from '../units/student-t.ts';
import { meanOf, varianceOf } from './mean-and-spread.ts';
import { checkOneUnit } from './rep-value.ts';
import type { FasterWhen, RepValue } from './rep-value.ts';

/** How far an athlete's reps of one start usually scatter, from earlier sessions: standard deviation with its degrees of freedom. */
export interface RepSpread {
  readonly sd: number;
  readonly degreesOfFreedom: number;
}

/** What to compare with. */
export interface DifferenceOptions {
  readonly fasterWhen: FasterWhen;
  /** The athlete's usual rep-to-rep spread of this measure and start, if known. */
  readonly history?: RepSpread;
  /** One standard deviation of an error that all reps of a block share (another camera place on another day); 0 for one set-up. */
  readonly setupSd?: number;
}

/** What the clips say about a difference. */
export type DifferenceVerdict = 'faster' | 'slower' | 'higher' | 'lower' | 'no-difference';

/** Difference of two reps or two blocks of reps. */
export interface Difference {
  /** Mean after − mean before, in the measure's unit. */
  readonly value: number;
  readonly ci95: readonly [number, number];
  /** 'faster' / 'slower' for measures that speak of speed, 'higher' / 'lower' for others; 'no-difference' when the interval holds 0. */
  readonly verdict: DifferenceVerdict;
  /**
   * What the interval covers. 'athlete': how the athlete's reps differ, rep-to-rep spread counted. 'these-reps': only the
   * measurement error of these two reps, because there is no other rep to tell how much the athlete scatters.
   */
  readonly about: 'athlete' | 'these-reps';
  /** Degrees of freedom behind the interval; Infinity when only known errors enter. */
  readonly degreesOfFreedom: number;
  /** Reps to add to each block until a difference of this size would show four times in five; 0 when it shows, null beyond 20 or without any spread or difference to go by. */
  readonly moreReps: number | null;
}

/**
 * Difference after − before with its 95 % interval out of measurement error and rep-to-rep spread.
 *
 * Blocks of two or more: Welch's interval. One rep against others, or with the athlete's history: the spreads are pooled. The
 * spread never counts as smaller than the reps' own measurement error. Null when a block is empty. Throws RangeError on mixed units.
 */
export function difference(before: readonly RepValue[], after: readonly RepValue[], options: DifferenceOptions): Difference | null {
  if (before.length === 0 || after.length === 0) return null;
  checkOneUnit([...before, ...after]);
  const value = meanOf(after.map((v) => v.value)) - meanOf(before.map((v) => v.value));
  const setup = 2 * (options.setupSd ?? 0) ** 2;
  const parts = spreadParts(before, after, options.history);
  const variance = parts.reduce((sum, p) => sum + p.variance, 0) + setup;
  // Welch–Satterthwaite; parts that are known exactly add nothing to the denominator.
  const denominator = parts.reduce((sum, p) => sum + p.variance ** 2 / p.degreesOfFreedom, 0);
  const fewest = Math.min(...parts.map((p) => p.degreesOfFreedom));
  const degreesOfFreedom = denominator > 0 ? variance ** 2 / denominator : fewest;
  const reach = tQuantile(0.975, degreesOfFreedom) * Math.sqrt(variance);
  const isShown = Math.abs(value) > reach;
  return {
    value,
    ci95: [value - reach, value + reach],
    verdict: isShown ? verdictOf(value, options.fasterWhen) : 'no-difference',
    about: Number.isFinite(fewest) ? 'athlete' : 'these-reps',
    degreesOfFreedom,
    moreReps: isShown ? 0 : repsToSettle(value, before, after, options),
  };
}

function verdictOf(value: number, when: FasterWhen): DifferenceVerdict {
  if (when === 'neither') return value > 0 ? 'higher' : 'lower';
  return value > 0 === (when === 'higher') ? 'faster' : 'slower';
}

/** A share of the variance of a difference and how well it is known. */
interface Part {
  readonly variance: number;
  readonly degreesOfFreedom: number;
}

function spreadParts(before: readonly RepValue[], after: readonly RepValue[], history: RepSpread | undefined): readonly Part[] {
  const blocks = [before, after];
  if (history === undefined && before.length > 1 && after.length > 1) {
    return blocks.map((block) => ({
      variance: Math.max(varianceOf(block.map((v) => v.value)), errorVariance(block)) / block.length,
      degreesOfFreedom: block.length - 1,
    }));
  }
  const pooled = pooledSpread(blocks, history);
  if (pooled === null) {
    return blocks.map((block) => ({ variance: errorVariance(block) / block.length, degreesOfFreedom: Number.POSITIVE_INFINITY }));
  }
  return [{ variance: pooled.sd ** 2 * (1 / before.length + 1 / after.length), degreesOfFreedom: pooled.degreesOfFreedom }];
}

/** Mean squared measurement error of a block. */
function errorVariance(block: readonly RepValue[]): number {
  return meanOf(block.map((v) => v.sd ** 2));
}

/** Rep-to-rep spread (measurement error included) out of both blocks and the history; null when nothing tells it. */
function pooledSpread(blocks: readonly (readonly RepValue[])[], history: RepSpread | undefined): RepSpread | null {
  let squares = 0;
  let freedom = 0;
  if (history !== undefined && history.degreesOfFreedom > 0) {
    squares += history.degreesOfFreedom * history.sd ** 2;
    freedom += history.degreesOfFreedom;
  }
  for (const block of blocks) {
    if (block.length < 2) continue;
    squares += (block.length - 1) * varianceOf(block.map((v) => v.value));
    freedom += block.length - 1;
  }
  if (freedom === 0) return null;
  return { sd: Math.sqrt(Math.max(squares / freedom, errorVariance(blocks.flat()))), degreesOfFreedom: freedom };
}

const MOST_MORE_REPS = 20;

function repsToSettle(value: number, before: readonly RepValue[], after: readonly RepValue[], options: DifferenceOptions): number | null {
  const pooled = pooledSpread([before, after], options.history);
  if (pooled === null || value === 0) return null;
  const history = options.history?.degreesOfFreedom ?? 0;
  const settles = (more: number): boolean => {
    const [n, m] = [before.length + more, after.length + more];
    const freedom = n + m - 2 + history;
    const error = Math.sqrt(pooled.sd ** 2 * (1 / n + 1 / m) + 2 * (options.setupSd ?? 0) ** 2);
    return Math.abs(value) > (tQuantile(0.975, freedom) + tQuantile(0.8, freedom)) * error;
  };
  if (!settles(MOST_MORE_REPS)) return null;
  // More reps never settle less: halve the search.
  let [not, enough] = [0, MOST_MORE_REPS];
  while (enough - not > 1) {
    const middle = (not + enough) >> 1;
    if (settles(middle)) enough = middle;
    else not = middle;
  }
  return enough;
}

/** Rep-to-rep spread of one start and measure, pooled over sessions (a session's own level does not count as spread); null when no session has two reps. Throws RangeError on mixed units. */
export function spreadOverSessions(sessions: readonly (readonly RepValue[])[]): RepSpread | null {
  const all = sessions.flat();
  if (all.length > 0) checkOneUnit(all);
  return pooledSpread(sessions, undefined);
}
