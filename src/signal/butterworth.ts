/** Coefficients of one pass: y[i] = a0 x[i] + a1 x[i−1] + a2 x[i−2] + b1 y[i−1] + b2 y[i−2]; the gain at 0 Hz is 1. */
export interface FilterCoefficients {
  readonly a0: number;
  readonly a1: number;
  readonly a2: number;
  readonly b1: number;
  readonly b2: number;
}

/** Factor on the corner for a dual pass as printed by Winter (2009, sec. 3.5.4.2); passCorrection(2) to three places. */
export const DUAL_PASS_CORRECTION = 0.802;

/** Factor (2^(1/n) − 1)^(1/4) by which the corner of each of n equal second-order passes must be raised so that together they cut at the wanted frequency. */
export function passCorrection(passes: number): number {
  if (!(Number.isInteger(passes) && passes >= 1)) throw new RangeError(`passes must be a whole number from 1, got ${passes}`);
  return (2 ** (1 / passes) - 1) ** 0.25;
}

/**
 * Second-order Butterworth low-pass by Winter's formula (Winter 2009, sec. 3.5.4.2): ωc = tan(π fc / fs) / correction.
 * Throws RangeError unless 0 < cutoffHz < sampleHz / 2.
 */
export function butterworth(sampleHz: number, cutoffHz: number, correction = 1): FilterCoefficients {
  if (!(sampleHz > 0 && cutoffHz > 0 && cutoffHz < sampleHz / 2)) {
    throw new RangeError(`cut-off must lie between 0 and half of ${sampleHz} Hz, got ${cutoffHz}`);
  }
  const wc = Math.tan((Math.PI * cutoffHz) / sampleHz) / correction;
  const k1 = Math.SQRT2 * wc;
  const k2 = wc * wc;
  const a0 = k2 / (1 + k1 + k2);
  const k3 = (2 * a0) / k2;
  return { a0, a1: 2 * a0, a2: a0, b1: -2 * a0 + k3, b2: 1 - 2 * a0 - k3 };
}
