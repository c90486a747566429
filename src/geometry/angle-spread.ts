import { degreesOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';
import { distance } from './distance.ts';

/**
 * One standard deviation in degrees of interiorAngleDeg(a, b, c) when each coordinate of the points carries independent
 * noise of the given standard deviations (same unit as the points).
 *
 * First order: σ² = σa²/|ab|² + σc²/|cb|² + σb²·|ac|²/(|ab|²|cb|²). Near 180° and 0° the angle is folded, so the true
 * scatter there is smaller and one-sided, about 0.6 σ. Null when a segment has no length or a value is a gap.
 */
export function interiorAngleSdDeg(a: Point, b: Point, c: Point, sdA: number, sdB: number, sdC: number): number | null {
  const ab = distance(a, b);
  const cb = distance(c, b);
  if (!(ab > 0 && cb > 0)) return null;
  const variance = (sdA / ab) ** 2 + (sdC / cb) ** 2 + ((sdB * distance(a, c)) / (ab * cb)) ** 2;
  return finiteDegrees(variance);
}

/** One standard deviation in degrees of the direction of from→to (lean, elevation) for independent noise per coordinate: √(σ₁²+σ₂²)/length. Null without length. */
export function segmentAngleSdDeg(from: Point, to: Point, sdFrom: number, sdTo: number): number | null {
  const length = distance(from, to);
  if (!(length > 0)) return null;
  return finiteDegrees((sdFrom ** 2 + sdTo ** 2) / length ** 2);
}

/** One standard deviation in degrees of the angle between two segments that share no point: the root sum of squares of both directions. Null without length. */
export function angleBetweenSdDeg(
  p: Point, q: Point, r: Point, s: Point,
  sdP: number, sdQ: number, sdR: number, sdS: number,
): number | null {
  const first = segmentAngleSdDeg(p, q, sdP, sdQ);
  const second = segmentAngleSdDeg(r, s, sdR, sdS);
  return first === null || second === null ? null : Math.hypot(first, second);
}

/** One standard deviation of numerator / denominator, both independent, first order; 0 or more. Null when the denominator is 0 or a value is a gap. */
export function ratioSd(numerator: number, denominator: number, sdNumerator: number, sdDenominator: number): number | null {
  if (denominator === 0) return null;
  const sd = Math.hypot(sdNumerator / denominator, (numerator * sdDenominator) / denominator ** 2);
  return Number.isFinite(sd) ? sd : null;
}

function finiteDegrees(variance: number): number | null {
  return Number.isFinite(variance) ? degreesOf(Math.sqrt(variance)) : null;
}
