/**
 * Probability that Kendall's S of `count` values in random order without ties is at least `s`: exact, by counting
 * orders by their number of inversions.
 */
export function kendallTail(count: number, s: number): number {
  const pairs = (count * (count - 1)) / 2;
  let share = [1];
  for (let n = 2; n <= count; n += 1) {
    const next = new Array<number>(share.length + n - 1).fill(0);
    share.forEach((v, i) => {
      for (let j = 0; j < n; j += 1) next[i + j] = next[i + j]! + v / n;
    });
    share = next;
  }
  // Inversions k give S = pairs − 2 k.
  return share.reduce((sum, v, k) => (pairs - 2 * k >= s ? sum + v : sum), 0);
}

/** Variance of Kendall's S of `count` values with tied groups of the given sizes. */
export function kendallVariance(count: number, tieSizes: readonly number[]): number {
  const term = (n: number): number => n * (n - 1) * (2 * n + 5);
  return (term(count) - tieSizes.reduce((sum, n) => sum + term(n), 0)) / 18;
}

/** Sizes of the groups of equal values, only groups of two and more. */
export function tieSizesOf(values: readonly number[]): readonly number[] {
  const counts = new Map<number, number>();
  for (const v of values) counts.set(v, (counts.get(v) ?? 0) + 1);
  return [...counts.values()].filter((n) => n > 1);
}
