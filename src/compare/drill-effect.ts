import type { MeasureId } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { difference } from './difference.ts';
import type { Difference, RepSpread } from './difference.ts';
import { fasterWhen } from './rep-value.ts';
import type { SessionRep } from './stop-rules.ts';

/** Whether the usual start changed over a block of drills. */
export interface DrillEffect {
  readonly drills: readonly StartId[];
  readonly before: number;
  readonly after: number;
  readonly difference: Difference;
}

/**
 * Usual start before the session's drills against the usual start after the first drill, by one measure. A change can have other
 * causes than the drill (warming up, tiring); the figures say only that it is there. Null when either side has no measured rep.
 */
export function drillEffect(reps: readonly SessionRep[], usualStart: StartId, measure: MeasureId, history?: RepSpread): DrillEffect | null {
  const firstDrill = reps.findIndex((rep) => rep.start !== usualStart);
  if (firstDrill < 0) return null;
  const valuesOf = (part: readonly SessionRep[]) =>
    part.filter((rep) => rep.start === usualStart).map((rep) => rep.values[measure]).filter((v) => v !== undefined);
  const before = valuesOf(reps.slice(0, firstDrill));
  const after = valuesOf(reps.slice(firstDrill));
  const options = history === undefined ? { fasterWhen: fasterWhen(measure) } : { fasterWhen: fasterWhen(measure), history };
  const found = difference(before, after, options);
  if (found === null) return null;
  const drills = [...new Set(reps.slice(firstDrill).map((rep) => rep.start).filter((start) => start !== usualStart))];
  return { drills, before: before.length, after: after.length, difference: found };
}
