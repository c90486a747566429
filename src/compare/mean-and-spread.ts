/** Mean of the values; NaN when there is none. */
export function meanOf(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}

/** Variance of the values about their mean with n − 1 in the denominator, 0 or more; NaN below two values. */
export function varianceOf(values: readonly number[]): number {
  if (values.length < 2) return Number.NaN;
  const mean = meanOf(values);
  return values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (values.length - 1);
}
