/** 95 % of normal errors lie within this many standard deviations (normalQuantile(0.975), to two decimals as usual). */
export const Z95 = 1.96;

/** Share of a standard normal distribution below `z`, 0 to 1, to about 1e-15 (series of Marsaglia 2004, J Stat Softw 11(4)). */
export function normalShareBelow(z: number): number {
  if (z < -8) return 0;
  if (z > 8) return 1;
  let sum = z;
  let term = z;
  for (let i = 3; Math.abs(term) > 1e-18 * Math.abs(sum); i += 2) {
    term *= (z * z) / i;
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
}

/** The standard normal value below which the share `p` lies. Throws RangeError unless 0 < p < 1. */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`share must lie between 0 and 1, got ${p}`);
  let [low, high] = [-8, 8];
  for (let i = 0; i < 60; i += 1) {
    const middle = (low + high) / 2;
    if (normalShareBelow(middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
