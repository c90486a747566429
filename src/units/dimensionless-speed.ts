import { GRAVITY_M_S2 } from './gravity.ts';

/** Speed divided by √(g · leg length), a number without unit that compares athletes of different size. Throws RangeError unless the leg is longer than 0 m. */
export function dimensionlessSpeed(speedMS: number, legLengthM: number): number {
  if (!(legLengthM > 0)) throw new RangeError(`leg length must be positive, got ${legLengthM}`);
  return speedMS / Math.sqrt(GRAVITY_M_S2 * legLengthM);
}

/** Froude number v² / (g · leg length), 0 or more; people change from walking to running near 0.5 (Alexander 1989, Physiol Rev 69:1199). */
export function froudeNumber(speedMS: number, legLengthM: number): number {
  return dimensionlessSpeed(speedMS, legLengthM) ** 2;
}
