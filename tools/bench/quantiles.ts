/** Value below which the share `p` (0 to 1) of the values lies, between neighbours in proportion; NaN without values. */
export function percentile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (sorted.length - 1) * p;
  const below = sorted[Math.floor(at)];
  const above = sorted[Math.ceil(at)];
  if (below === undefined || above === undefined) return Number.NaN;
  return below + (above - below) * (at - Math.floor(at));
}

/** The middle value, NaN without values. */
export function median(values: readonly number[]): number {
  return percentile(values, 0.5);
}
