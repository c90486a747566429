import type { BodyTrack, Limbs } from '../pose/body-track.ts';
import { medianOf } from '../signal/spread.ts';

/** A figure with one standard deviation. */
export interface Estimate {
  readonly value: number;
  readonly sd: number;
}

/** Landmarks scored lower are left out. Chosen, as for the leg length. */
const SCORE_FLOOR = 0.3;
/**
 * Relative error of the leg's length that goes along with posture, and so with the place in the picture; one standard
 * deviation. Measured: it makes the stated spread cover the twelve tracks and the noisy truth (docs/camera.md).
 */
const POSTURE_SD = 0.015;
/** Legs seen in fewer frames tell nothing. Chosen. */
const FEWEST = 12;
const ROUNDS = 12;
/** Tukey's biweight constant: 95 % efficient on normal noise. */
const BIWEIGHT = 4.685;

interface Leg {
  /** Where along the picture, pixels from its middle over the focal length. */
  readonly u: number;
  /** Natural logarithm of thigh + shank over the athlete's leg length. */
  readonly size: number;
  readonly isLeft: boolean;
}

/**
 * Tangent of the yaw out of how the legs grow or shrink along the picture: a pin-hole camera turned by ψ sees sizes in
 * proportion to 1 − (u/f) tan ψ. Each leg keeps its own length. Null when the athlete hardly moved along the picture.
 */
export function growthCue(body: BodyTrack, toDisplay: 1 | -1, legPx: number, middleX: number, focalPx: number, untilS: number): Estimate | null {
  const legs = (['left', 'right'] as const).flatMap((side) => legsOf(body, side, toDisplay, legPx, middleX, focalPx, untilS));
  if (legs.length < FEWEST) return null;
  const line = robustLine(legs);
  if (line === null || !(line.spread > 0)) return null;
  return { value: -line.slope, sd: Math.hypot(POSTURE_SD, line.residual / 2) / line.spread };
}

function legsOf(body: BodyTrack, side: 'left' | 'right', toDisplay: 1 | -1, legPx: number, middleX: number, focalPx: number, untilS: number): Leg[] {
  const { hip, knee, ankle }: Limbs = body[side];
  const legs: Leg[] = [];
  for (let i = 0; i < body.times.length && body.times[i]! <= untilS; i++) {
    if (Math.min(hip.score[i]!, knee.score[i]!, ankle.score[i]!) < SCORE_FLOOR) continue;
    const length = Math.hypot(knee.x[i]! - hip.x[i]!, knee.y[i]! - hip.y[i]!) + Math.hypot(ankle.x[i]! - knee.x[i]!, ankle.y[i]! - knee.y[i]!);
    const size = Math.log(length / legPx);
    if (Number.isFinite(size)) legs.push({ u: (toDisplay * knee.x[i]! - middleX) / focalPx, size, isLeft: side === 'left' });
  }
  return legs;
}

/** Line through the legs' sizes, each side with its own height, outliers left out by Tukey's biweight. */
function robustLine(legs: readonly Leg[]): { slope: number; residual: number; spread: number } | null {
  const weights = new Float64Array(legs.length).fill(1);
  const left = new Float64Array(legs.length);
  let result: { slope: number; residual: number; spread: number } | null = null;
  for (let round = 0; round < ROUNDS; round++) {
    const middles = { left: middleOf(legs, weights, true), right: middleOf(legs, weights, false) };
    let across = 0;
    let square = 0;
    let total = 0;
    for (let i = 0; i < legs.length; i++) {
      const { u, size, isLeft } = legs[i]!;
      const middle = isLeft ? middles.left : middles.right;
      const weight = weights[i]!;
      const du = u - middle.u;
      across += weight * du * (size - middle.size);
      square += weight * du * du;
      total += weight;
    }
    if (!(square > 0)) return null;
    const slope = across / square;
    for (let i = 0; i < legs.length; i++) {
      const { u, size, isLeft } = legs[i]!;
      const middle = isLeft ? middles.left : middles.right;
      left[i] = size - middle.size - slope * (u - middle.u);
    }
    const residual = 1.4826 * medianOf(left.map(Math.abs));
    result = { slope, residual, spread: Math.sqrt(square / total) };
    const reach = BIWEIGHT * Math.max(residual, 1e-4);
    for (let i = 0; i < legs.length; i++) weights[i] = Math.abs(left[i]!) < reach ? (1 - (left[i]! / reach) ** 2) ** 2 : 0;
  }
  return result;
}

/** The weighed middle of one side's legs. */
function middleOf(legs: readonly Leg[], weights: Float64Array, isLeft: boolean): Pick<Leg, 'u' | 'size'> {
  let u = 0;
  let size = 0;
  let total = 0;
  for (let i = 0; i < legs.length; i++) {
    const leg = legs[i]!;
    if (leg.isLeft !== isLeft) continue;
    u += weights[i]! * leg.u;
    size += weights[i]! * leg.size;
    total += weights[i]!;
  }
  return total > 0 ? { u: u / total, size: size / total } : { u: 0, size: 0 };
}
