/** Median of the finite values; NaN when there is none. */
export function medianOf(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values).filter((v) => Number.isFinite(v)).sort();
  const count = sorted.length;
  if (count === 0) return Number.NaN;
  const half = count >> 1;
  return count % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** Robust standard deviation of the finite values, 0 or more: 1.4826 × the median absolute deviation, which equals σ for normal noise; NaN when there is none. */
export function robustSd(values: ArrayLike<number>): number {
  const centre = medianOf(values);
  return 1.4826 * medianOf(Float64Array.from(values, (v) => Math.abs(v - centre)));
}
