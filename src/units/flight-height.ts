import { GRAVITY_M_S2 } from './gravity.ts';

/**
 * Rise of the body's centre in metres during a flight of `flightS` seconds that takes off and lands in the same posture:
 * g t² / 8 (flight-time method; Linthorne 2001, Am J Phys 69:1198–1204). Throws RangeError below 0.
 */
export function flightHeightM(flightS: number): number {
  if (!(flightS >= 0)) throw new RangeError(`flight time must be 0 or more, got ${flightS}`);
  return (GRAVITY_M_S2 * flightS * flightS) / 8;
}

/** Error of that height in metres that an error of `errorS` seconds in the flight time makes, to first order: g t Δt / 4. */
export function flightHeightErrorM(flightS: number, errorS: number): number {
  if (!(flightS >= 0)) throw new RangeError(`flight time must be 0 or more, got ${flightS}`);
  return (GRAVITY_M_S2 * flightS * Math.abs(errorS)) / 4;
}
