import { tQuantile } from '../units/student-t.ts';
import { meanOf, varianceOf } from './mean-and-spread.ts';
import { checkOneUnit } from './rep-value.ts';
import type { RepValue } from './rep-value.ts';
import { theilSen } from './theil-sen.ts';

/** One rep's value with its number within the session, from 1. */
export interface NumberedValue extends RepValue {
  readonly rep: number;
}

/** How a measure holds over the reps of a session. */
export interface Drift {
  readonly count: number;
  readonly mean: number;
  /** Standard deviation about the mean, or about the trend when it drifts; null below two reps (three when it drifts). */
  readonly spreadSd: number | null;
  /** Theil–Sen slope per rep with its interval; null below two reps, its interval null below five. */
  readonly perRep: number | null;
  readonly perRepCi95: readonly [number, number] | null;
  /** True when the interval of the slope leaves out 0. */
  readonly isDrifting: boolean;
  /** Change from the first to the last rep along the trend, in the measure's unit; null below two reps. */
  readonly moved: number | null;
  readonly sinceRep: number | null;
  /** Where the next rep is expected with an interval that holds it 19 times in 20; null where the spread is not known. */
  readonly next: { readonly rep: number; readonly value: number; readonly ci95: readonly [number, number] } | null;
}

/**
 * Spread, drift and the next expected value of one measure over the reps of a session, in any order. Null without a rep.
 * The spread never counts as smaller than the reps' own measurement error. Throws RangeError on mixed units.
 */
export function drift(values: readonly NumberedValue[]): Drift | null {
  const sorted = values.toSorted((a, b) => a.rep - b.rep);
  const [first, last] = [sorted[0], sorted[sorted.length - 1]];
  if (first === undefined || last === undefined) return null;
  checkOneUnit(sorted);
  const x = sorted.map((v) => v.rep);
  const y = sorted.map((v) => v.value);
  const trend = theilSen(x, y);
  const ci95 = trend?.ci95 ?? null;
  const isDrifting = ci95 !== null && (ci95[0] > 0 || ci95[1] < 0);
  const error = meanOf(sorted.map((v) => v.sd ** 2));
  const count = sorted.length;
  const residuals = isDrifting && trend !== null ? y.map((v, i) => v - trend.intercept - trend.slope * x[i]!) : y.map((v) => v - meanOf(y));
  const freedom = count - (isDrifting ? 2 : 1);
  const variance = freedom < 1 ? Number.NaN : isDrifting ? (varianceOf(residuals) * (count - 1)) / freedom : varianceOf(y);
  const spreadSd = Number.isNaN(variance) ? null : Math.sqrt(Math.max(variance, error));
  return {
    count,
    mean: meanOf(y),
    spreadSd,
    perRep: trend?.slope ?? null,
    perRepCi95: ci95,
    isDrifting,
    moved: trend === null ? null : trend.slope * (last.rep - first.rep),
    sinceRep: trend === null ? null : first.rep,
    next: spreadSd === null ? null : expectNext(),
  };

  function expectNext(): NonNullable<Drift['next']> {
    const rep = last!.rep + 1;
    const middle = meanOf(x);
    const value = isDrifting && trend !== null ? trend.intercept + trend.slope * rep : meanOf(y);
    const lever = isDrifting ? (rep - middle) ** 2 / x.reduce((sum, v) => sum + (v - middle) ** 2, 0) : 0;
    const reach = tQuantile(0.975, freedom) * spreadSd! * Math.sqrt(1 + 1 / count + lever);
    return { rep, value, ci95: [value - reach, value + reach] };
  }
}
