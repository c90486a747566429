import { parabolaAt } from './parabola.ts';
import { checkTimes, runsOf } from './runs.ts';

/** Rate of change per second at every time: slope of the parabola through a value and its neighbours (at an end, through the nearest three), exact for t² on uneven times. Gaps stay NaN; so do stretches of one value. */
export function derivative(times: Float64Array, values: Float64Array): Float64Array {
  checkTimes(times, values);
  const result = new Float64Array(values.length).fill(Number.NaN);
  for (const { from, to } of runsOf(values)) {
    if (to - from === 2) {
      result.fill((values[from + 1]! - values[from]!) / (times[from + 1]! - times[from]!), from, to);
    } else if (to - from > 2) {
      for (let i = from; i < to; i += 1) {
        const middle = Math.min(Math.max(i, from + 1), to - 2);
        const p = parabolaAt(times, values, middle);
        result[i] = p.slope + 2 * p.curve * (times[i]! - times[middle]!);
      }
    }
  }
  return result;
}

/** Second derivative per second squared: curvature of the same parabola, exact for t² on uneven times. Gaps stay NaN; so do stretches of one or two values. */
export function secondDerivative(times: Float64Array, values: Float64Array): Float64Array {
  checkTimes(times, values);
  const result = new Float64Array(values.length).fill(Number.NaN);
  for (const { from, to } of runsOf(values)) {
    if (to - from < 3) continue;
    for (let i = from; i < to; i += 1) {
      result[i] = 2 * parabolaAt(times, values, Math.min(Math.max(i, from + 1), to - 2)).curve;
    }
  }
  return result;
}
