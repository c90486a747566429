/** The closed list of reasons why a measure or a moment has no value. */
export const WHY_NOT = [
  'not-in-view',
  'too-blurred',
  'camera-off-side',
  'moment-not-found',
  'time-base-unknown',
  'no-scale',
  'person-in-the-way',
  'low-confidence',
] as const;

/** Why a measure or a moment has no value. */
export type WhyNot = (typeof WHY_NOT)[number];
