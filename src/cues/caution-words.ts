import type { StartId } from '../starts/start.ts';

/** One line that stands beside every result. */
export const CAUTION_SHORT = 'Lungeline measures shapes. It never says that an athlete is ready: a qualified coach decides.';

/** The cautions in full, each one sentence; sources in docs/cautions.md. */
export const CAUTIONS = [
  'Tumble only with a qualified coach present who watches and spots.',
  'Use a floor made for tumbling: mats in place, no gaps, dry, flat and clear all round.',
  'Try passes with fresh legs, after a warm-up. Tired shapes mean: stop for today.',
  'Stop at once on pain, on feeling dizzy or after a knock to the head, and tell your coach.',
  'Never try a new start, a wedge or a softer floor because of a number on a screen.',
  'The rules of your club, your sport and your country come first, and your coach decides what comes next.',
  'Film minors only if they and their parents or guardians agree. Clips stay on this device.',
] as const;

/** What is special about a start, beyond the general cautions; null when nothing is. Common practice, no source. */
export const START_CAUTIONS: Readonly<Record<StartId, string | null>> = {
  'two-step-run': 'On an air floor, a tumble track or another soft floor, a run-up is for very advanced athletes only.',
  'power-hurdle': 'On soft floors this is the usual start. Ask your coach first.',
  'sprint-lunge': null,
  'hop-from-passe': null,
  'tip-from-passe': 'Only with a coach at your side. With a wedge into a pit it is a first drill, but never something to try alone on the floor.',
  'half-kneeling': 'Hard work for the legs: single tries with rest, never in sets.',
};
