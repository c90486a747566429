import { meanOf, varianceOf } from './mean-and-spread.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** Typical error of one measurement out of pairs measured twice: standard deviation of the differences / √2 (Hopkins 2000, Sports Med 30:1–15), 0 or more; null below two pairs. */
export function typicalError(first: readonly number[], second: readonly number[]): number | null {
  const differences = differencesOf(first, second);
  return differences.length < 2 ? null : Math.sqrt(varianceOf(differences) / 2);
}

/** Smallest change that is real with 95 % confidence for a mean of `repeats` measurements each of standard error `sem`: 1.96 · √2 · sem / √n (Weir 2005, J Strength Cond Res 19:231–240). */
export function minimalDetectableChange95(sem: number, repeats = 1): number {
  if (!(repeats >= 1)) throw new RangeError(`repeats must be 1 or more, got ${repeats}`);
  return (Z95 * Math.SQRT2 * sem) / Math.sqrt(repeats);
}

/** Standard error of measurement out of the standard deviation between people and the reliability: sd · √(1 − ICC), 0 or more. Throws RangeError unless ICC is at most 1. */
export function standardErrorOfMeasurement(sd: number, icc: number): number {
  if (!(icc <= 1)) throw new RangeError(`ICC must be at most 1, got ${icc}`);
  return sd * Math.sqrt(1 - icc);
}

/** Repeatability coefficient of pairs measured twice: 2 · √(mean squared difference) (Bland & Altman 1986), 0 or more; null without a pair. */
export function repeatabilityCoefficient(first: readonly number[], second: readonly number[]): number | null {
  const differences = differencesOf(first, second);
  return differences.length === 0 ? null : 2 * Math.sqrt(meanOf(differences.map((d) => d * d)));
}

function differencesOf(first: readonly number[], second: readonly number[]): number[] {
  if (first.length !== second.length) throw new RangeError(`${first.length} first for ${second.length} second values`);
  return first.map((v, i) => v - second[i]!);
}
