/** Product ids of the six starts of a running tumbling pass, easiest first (order: common practice, no source). */
export const START_IDS = [
  'two-step-run',
  'power-hurdle',
  'sprint-lunge',
  'hop-from-passe',
  'tip-from-passe',
  'half-kneeling',
] as const;

/** One of the six starts. */
export type StartId = (typeof START_IDS)[number];

/** The athlete's own left or right. */
export type Side = 'left' | 'right';

/** Which way the athlete travels across the picture. */
export type Direction = 'left-to-right' | 'right-to-left';

/** The opposite side of the body. */
export function otherSide(side: Side): Side {
  return side === 'left' ? 'right' : 'left';
}

/** Names of the starts as a coach says them. */
export const START_NAMES: Readonly<Record<StartId, string>> = {
  'two-step-run': 'Two-step run',
  'power-hurdle': 'Power hurdle',
  'sprint-lunge': 'Sprint-lunge start',
  'hop-from-passe': 'Hop from passé',
  'tip-from-passe': 'Tip from passé',
  'half-kneeling': 'Half-kneeling start',
};
