import { parabolaAt } from './parabola.ts';
import { checkTimes } from './runs.ts';

/** A high or low point of a signal. */
export interface Extremum {
  readonly kind: 'peak' | 'valley';
  /** Seconds, at sub-frame precision. */
  readonly t: number;
  readonly value: number;
  /** Index of the frame that is highest or lowest. */
  readonly index: number;
}

/** The local peaks and valleys in order, each refined by the parabola through the extreme value and its neighbours; ends and gaps' edges do not count. Of a flat top the middle frame is taken. */
export function extrema(times: Float64Array, values: Float64Array): readonly Extremum[] {
  checkTimes(times, values);
  const found: Extremum[] = [];
  for (let i = 1; i < values.length - 1; i += 1) {
    let last = i;
    while (last + 1 < values.length && values[last + 1] === values[i]) last += 1;
    const before = values[i]! - values[i - 1]!;
    const after = last + 1 < values.length ? values[last + 1]! - values[last]! : Number.NaN;
    if ((before > 0 && after < 0) || (before < 0 && after > 0)) {
      const index = (i + last) >> 1;
      found.push({ kind: before > 0 ? 'peak' : 'valley', index, ...vertexAt(times, values, index) });
    }
    i = last;
  }
  return found;
}

/**
 * Time and value of the top or bottom of the parabola through the value at `index` and its neighbours, kept between the two
 * neighbours; the frame itself at an end, beside a gap or on a straight line.
 */
export function vertexAt(times: Float64Array, values: Float64Array, index: number): { readonly t: number; readonly value: number } {
  const own = { t: times[index]!, value: values[index]! };
  if (index < 1 || index > times.length - 2) return own;
  const p = parabolaAt(times, values, index);
  const shift = -p.slope / (2 * p.curve);
  if (!Number.isFinite(shift)) return own;
  const t = own.t + shift;
  if (t < times[index - 1]! || t > times[index + 1]!) return own;
  return { t, value: p.value + p.slope * shift + p.curve * shift * shift };
}
