import { medianOf } from './spread.ts';

/** Each value replaced by the median of the `width` values around it (fewer at the ends and beside gaps); gaps stay NaN. Throws RangeError unless width is odd and positive. */
export function medianFilter(values: Float64Array, width: number): Float64Array {
  if (!(Number.isInteger(width) && width > 0 && width % 2 === 1)) throw new RangeError(`width must be odd and positive, got ${width}`);
  const half = (width - 1) / 2;
  return values.map((v, i) => (Number.isFinite(v) ? medianOf(values, Math.max(0, i - half), Math.min(values.length, i + half + 1)) : Number.NaN));
}
