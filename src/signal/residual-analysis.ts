import { runsOf } from './runs.ts';
import { zeroLag } from './zero-lag.ts';

/** Result of a residual analysis. */
export interface ResidualAnalysis {
  /** Cut-off at which what the filter takes away is no more than the noise, Hz. */
  readonly cutoffHz: number;
  /** Noise of the values as the residual line's height at 0 Hz, in their unit. */
  readonly noiseSd: number;
}

/**
 * Cut-off for zeroLag by Winter's residual analysis (Winter 2009, sec. 3.5.3): the root-mean-square of what is filtered away
 * falls as the cut-off rises, and turns into a straight line where only noise is left; that line drawn back to 0 Hz gives the
 * noise, and the cut-off is where the curve is down to it. Uses the longest stretch without a gap; null below 30 values or when
 * the curve never comes down to the line.
 */
export function residualAnalysis(values: Float64Array, sampleHz: number): ResidualAnalysis | null {
  const run = runsOf(values).toSorted((a, b) => b.to - b.from - (a.to - a.from))[0];
  if (run === undefined || run.to - run.from < 30) return null;
  const stretch = values.slice(run.from, run.to);
  const steps = 100;
  const cutoffs = Array.from({ length: steps }, (_, i) => ((i + 1) / steps) * 0.45 * sampleHz);
  const residuals = cutoffs.map((fc) => rootMeanSquareDifference(stretch, zeroLag(stretch, sampleHz, fc)));

  // The straight part: of all stretches of two fifths of the range, the one that a line fits best.
  const width = (steps * 2) / 5;
  let best: { readonly r2: number; readonly intercept: number } | null = null;
  for (let from = 0; from + width <= steps; from += 1) {
    const line = lineThrough(cutoffs.slice(from, from + width), residuals.slice(from, from + width));
    if (line.slope < 0 && (best === null || line.r2 > best.r2)) best = line;
  }
  if (best === null) return null;
  const noise = best.intercept;
  const below = residuals.findIndex((r) => r <= noise);
  if (below < 1) return null;
  const share = (residuals[below - 1]! - noise) / (residuals[below - 1]! - residuals[below]!);
  return { cutoffHz: cutoffs[below - 1]! + share * (cutoffs[below]! - cutoffs[below - 1]!), noiseSd: noise };
}

function rootMeanSquareDifference(a: Float64Array, b: Float64Array): number {
  return Math.sqrt(a.reduce((sum, v, i) => sum + (v - b[i]!) ** 2, 0) / a.length);
}

function lineThrough(x: readonly number[], y: readonly number[]): { slope: number; intercept: number; r2: number } {
  const n = x.length;
  const meanX = x.reduce((s, v) => s + v, 0) / n;
  const meanY = y.reduce((s, v) => s + v, 0) / n;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < n; i += 1) {
    sxx += (x[i]! - meanX) ** 2;
    sxy += (x[i]! - meanX) * (y[i]! - meanY);
    syy += (y[i]! - meanY) ** 2;
  }
  const slope = sxy / sxx;
  return { slope, intercept: meanY - slope * meanX, r2: syy === 0 ? 0 : (sxy * sxy) / (sxx * syy) };
}
