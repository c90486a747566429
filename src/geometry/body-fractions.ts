/**
 * Adult segment lengths and joint heights as fractions of standing height (Drillis & Contini 1966, Tech. Rep. 1166-03,
 * New York University; reprinted in Winter 2009, Fig. 4.1). Children differ: under about 12 years measure, do not derive.
 */
export const BODY_FRACTION = {
  ankleHeight: 0.039,
  kneeHeight: 0.285,
  hipHeight: 0.53,
  shoulderHeight: 0.818,
  chinHeight: 0.87,
  eyeHeight: 0.936,
  thigh: 0.245,
  shank: 0.246,
  upperArm: 0.186,
  forearm: 0.146,
  hand: 0.108,
  shoulderWidth: 0.259,
  hipWidth: 0.191,
  footLength: 0.152,
  footWidth: 0.055,
  headHeight: 0.13,
  trunk: 0.288,
} as const;

/** Thigh + shank in metres of an adult of standing height `heightM`: 0.491 of it. Throws RangeError unless positive. */
export function legLengthFromHeightM(heightM: number): number {
  if (!(heightM > 0)) throw new RangeError(`height must be positive, got ${heightM}`);
  return heightM * (BODY_FRACTION.thigh + BODY_FRACTION.shank);
}

/** Interior knee angle in degrees of a leg with thigh `thigh` and shank `shank` whose hip lies `hipToFoot` from its lower end, by the law of cosines; null when they make no triangle. */
export function kneeAngleFromSidesDeg(thigh: number, shank: number, hipToFoot: number): number | null {
  const cosine = (thigh ** 2 + shank ** 2 - hipToFoot ** 2) / (2 * thigh * shank);
  if (!(cosine >= -1 && cosine <= 1)) return null;
  return (Math.acos(cosine) * 180) / Math.PI;
}

/** Share of the body's mass and place of its centre from the upper end, as a share of length, by segment (Dempster 1955 after Winter 2009, Table 4.1). */
export const SEGMENT_MASS = {
  foot: { mass: 0.0145, centre: 0.5 },
  leg: { mass: 0.0465, centre: 0.433 },
  thigh: { mass: 0.1, centre: 0.433 },
  trunk: { mass: 0.497, centre: 0.5 },
  headNeck: { mass: 0.081, centre: 1 },
  upperArm: { mass: 0.028, centre: 0.436 },
  forearm: { mass: 0.016, centre: 0.43 },
  hand: { mass: 0.006, centre: 0.506 },
} as const;

/** Whole limbs as one segment each, from hip to ankle and from shoulder to wrist (same table). */
export const LIMB_MASS = {
  leg: { mass: 0.161, centre: 0.447 },
  arm: { mass: 0.05, centre: 0.53 },
} as const;
