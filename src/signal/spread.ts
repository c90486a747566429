/** More values than this are sorted by the library, fewer are put in order here: a call of its sort costs more than they do. */
const FEW = 16;

/** Median of the finite values from one index up to but not including another, of all unless said; NaN when there is none. */
export function medianOf(values: ArrayLike<number>, from = 0, to = values.length): number {
  const sorted = new Float64Array(to - from);
  const isFew = sorted.length <= FEW;
  let count = 0;
  for (let i = from; i < to; i++) {
    const value = values[i]!;
    if (!Number.isFinite(value)) continue;
    let at = count++;
    if (isFew) for (; at > 0 && sorted[at - 1]! > value; at--) sorted[at] = sorted[at - 1]!;
    sorted[at] = value;
  }
  if (count === 0) return Number.NaN;
  if (!isFew) sorted.subarray(0, count).sort();
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
