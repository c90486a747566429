import { degreesOf } from '../units/degrees.ts';
import type { Estimate } from './growth-cue.ts';

/** A single cue less sure than this (tangent) says nothing. Chosen: about 17°. */
const LOOSEST = 0.3;
/** Evidence less sure than this, one standard deviation in degrees, is none. Chosen: it could not tell 0 from 20°. */
const LOOSEST_SUM_DEG = 10;

/** One angle in degrees out of independent cues of its tangent, weighted by their sureness. Null when they cannot tell. */
export function combinedDeg(cues: readonly Estimate[]): Estimate | null {
  const usable = cues.filter(({ value, sd }) => Number.isFinite(value) && sd < LOOSEST);
  if (usable.length === 0) return null;
  const weight = usable.reduce((sum, { sd }) => sum + 1 / sd ** 2, 0);
  const mean = usable.reduce((sum, { value, sd }) => sum + value / sd ** 2, 0) / weight;
  // Cues that contradict one another are less sure than they say (Birge ratio).
  const misfit = usable.reduce((sum, { value, sd }) => sum + ((value - mean) / sd) ** 2, 0) / Math.max(1, usable.length - 1);
  const sdDeg = degreesOf(Math.sqrt(Math.max(1, misfit) / weight) / (1 + mean ** 2));
  return sdDeg > LOOSEST_SUM_DEG ? null : { value: degreesOf(Math.atan(mean)), sd: sdDeg };
}
