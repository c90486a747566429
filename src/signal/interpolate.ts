/**
 * Value at `at` of the cubic through the four points around it (the nearest four at an end), exact for polynomials up to
 * degree 3; of a lower degree when there are fewer points. NaN when there is no point. Times strictly increasing, no gaps.
 */
export function interpolateCubic(times: Float64Array, values: Float64Array, at: number): number {
  const count = times.length;
  const width = Math.min(4, count);
  const first = Math.max(0, Math.min(count - width, indexAtOrBefore(times, at) - 1));
  let sum = count === 0 ? Number.NaN : 0;
  for (let i = first; i < first + width; i += 1) {
    let basis = 1;
    for (let j = first; j < first + width; j += 1) {
      if (j !== i) basis *= (at - times[j]!) / (times[i]! - times[j]!);
    }
    sum += basis * values[i]!;
  }
  return sum;
}

/** Index of the last time at or before `at`; −1 when all are later. Times strictly increasing. */
export function indexAtOrBefore(times: Float64Array, at: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (times[middle]! <= at) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
