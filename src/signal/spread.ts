/** Median of the finite values; NaN when there is none. */
export function medianOf(values: ArrayLike<number>): number {
  // Copied by hand: Float64Array.from walks an iterator, and this runs thousands of times a reading.
  const finite = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    if (Number.isFinite(values[i])) finite[count++] = values[i]!;
  }
  if (count === 0) return Number.NaN;
  const sorted = finite.subarray(0, count).sort();
  const half = count >> 1;
  return count % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** Robust standard deviation of the finite values, 0 or more: 1.4826 × the median absolute deviation, which equals σ for normal noise; NaN when there is none. */
export function robustSd(values: ArrayLike<number>): number {
  const centre = medianOf(values);
  const away = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) away[i] = Math.abs(values[i]! - centre);
  return 1.4826 * medianOf(away);
}
