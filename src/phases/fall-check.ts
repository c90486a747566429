import { LIMB_MASS, SEGMENT_MASS } from '../geometry/index.ts';
import type { Path } from '../pose/body-track.ts';
import { localFit } from '../signal/local-fit.ts';
import type { Rep } from './find-rep.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** Standard gravity, m/s² (CGPM 1901; rounded as in the check values). */
const GRAVITY = 9.81;
/** Flights shorter than this say too little, seconds of real time. Chosen. */
const SHORTEST_FLIGHT_S = 0.12;
/** Thigh plus shank of an athlete whose height is not known, metres, and one relative deviation: a child's 0.55 to an adult's 0.95 m (Drillis & Contini fractions of 1.15 to 1.9 m). */
const UNKNOWN_LEG_M = 0.75;
const UNKNOWN_LEG_RELATIVE_SD = 0.14;
const KNOWN_LEG_RELATIVE_SD = 0.04;
/** What a few joints miss of the true centre of mass, relative deviation of the acceleration: rendered flights read 1.09 ± 0.1. */
const MODEL_RELATIVE_SD = 0.12;

/** How many times slower than life a clip plays, judged by how fast the body falls while in the air. */
export interface FallCheck {
  /** 1 = real time, 4 = a quarter of the speed. */
  readonly slowedBy: number;
  readonly ci95: readonly [number, number];
}

/**
 * In the air a body's centre of mass falls at g; a clip slowed n times shows g / n². Fits a parabola to the centre of mass
 * over the flight (segment masses and centres: Dempster after Winter 2009, Table 4.1). Null without a flight long enough.
 */
export function fallCheck(rep: Rep, legM: number | null): FallCheck | null {
  const { flight } = rep;
  if (flight === null || flight.to - flight.from < SHORTEST_FLIGHT_S) return null;
  const { times } = rep.body;
  const centre = centreOfMassY(rep);
  const middle = (flight.from + flight.to) / 2;
  const fit = localFit(times, centre, null, middle, (flight.to - flight.from) / 2, 2);
  if (fit === null || fit.count < 5 || !(fit.second > 0)) return null;
  const shown = fit.second / rep.legPx;
  const expected = GRAVITY / (legM ?? UNKNOWN_LEG_M);
  const noise = ((fit.residualSd ?? 0.01 * rep.legPx) * fit.secondNoise) / fit.second;
  // n is a square root: half the relative deviation of what it is taken from.
  const relativeSd = 0.5 * Math.hypot(noise, MODEL_RELATIVE_SD, legM === null ? UNKNOWN_LEG_RELATIVE_SD : KNOWN_LEG_RELATIVE_SD);
  const slowedBy = Math.sqrt(expected / shown);
  return { slowedBy, ci95: [slowedBy * Math.exp(-Z95 * relativeSd), slowedBy * Math.exp(Z95 * relativeSd)] };
}

/** Height of the centre of mass, pixels downward: legs, arms, trunk, and the head at the ears. */
function centreOfMassY(rep: Rep): Float64Array {
  const { left, right, hipMid, shoulderMid } = rep.body;
  const part = (from: Path, to: Path, segment: { readonly mass: number; readonly centre: number }, i: number): number =>
    segment.mass * (from.y[i]! + segment.centre * (to.y[i]! - from.y[i]!));
  const total = SEGMENT_MASS.trunk.mass + SEGMENT_MASS.headNeck.mass + 2 * (LIMB_MASS.leg.mass + LIMB_MASS.arm.mass);
  return rep.body.times.map((_, i) => {
    let sum = part(hipMid, shoulderMid, SEGMENT_MASS.trunk, i) + (SEGMENT_MASS.headNeck.mass * (left.ear.y[i]! + right.ear.y[i]!)) / 2;
    for (const side of [left, right]) sum += part(side.hip, side.ankle, LIMB_MASS.leg, i) + part(side.shoulder, side.wrist, LIMB_MASS.arm, i);
    return sum / total;
  });
}
