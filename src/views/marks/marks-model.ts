import { numberedValues, repsOf, usualSpread } from '../../athletelog/index.ts';
import type { AthleteLog } from '../../athletelog/index.ts';
import { drift, marks, markAdvice, repValueOf, type Drift, type FloorPlan, type MarkAdvice } from '../../compare/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { START_IDS, type StartId } from '../../starts/start.ts';
import { applies } from '../../tolerances/index.ts';
import { spreadInterval } from '../../units/chi-square.ts';

/** How well one start holds its mark over all sessions. */
export interface MarkHold {
  readonly start: StartId;
  /** Reps in metres, and the sessions they lie in. */
  readonly reps: number;
  readonly sessions: number;
  /** Rep-to-rep spread within a session in metres, one standard deviation, with its 95 % interval. */
  readonly sdM: number;
  readonly ci95: readonly [number, number];
}

/** Every start of which the spread of the mark is known, best first. */
export function markHolds(log: AthleteLog, athleteId: string): readonly MarkHold[] {
  return START_IDS.flatMap((start): MarkHold[] => {
    const spread = usualSpread(log, athleteId, start, 'mark.toHands', 'm', null);
    if (spread === null) return [];
    const reps = repsOf(log, { athleteId, start }).filter((rep) => repValueOf(rep.measures['mark.toHands'])?.unit === 'm');
    return [{ start, reps: reps.length, sessions: new Set(reps.map((rep) => rep.sessionId)).size, sdM: spread.sd, ci95: spreadInterval(spread.sd, spread.degreesOfFreedom) }];
  }).toSorted((a, b) => a.sdM - b.sdM);
}

/** Whether the best start's spread is clearly the smallest: its whole interval lies under that of every other start. */
export function isClearlyBest(holds: readonly MarkHold[]): boolean {
  const [best, ...rest] = holds;
  return best !== undefined && rest.length > 0 && rest.every((other) => best.ci95[1] < other.ci95[0]);
}

/** How one length holds over the session. */
export interface HeldLength {
  readonly measure: MeasureId;
  readonly unit: 'm' | 'leg';
  readonly drift: Drift;
}

const HELD: readonly MeasureId[] = ['mark.toHands', 'steps.length[1]', 'steps.length[2]', 'plant.lungeRatio'];

/** Mark, step and lunge lengths of one start over a session; those with two reps or more in one unit. */
export function heldLengths(log: AthleteLog, athleteId: string, sessionId: string, start: StartId): readonly HeldLength[] {
  return HELD.filter((measure) => applies(start, measure)).flatMap((measure): HeldLength[] => {
    const all = numberedValues(log, athleteId, sessionId, measure, start);
    const unit = all.at(-1)?.unit;
    if (unit !== 'm' && unit !== 'leg') return [];
    const held = drift(all.filter((each) => each.unit === unit));
    return held === null || held.count < 2 ? [] : [{ measure, unit, drift: held }];
  });
}

/** How the mark of one start holds over a session; null without a rep in metres. */
export function heldMark(log: AthleteLog, athleteId: string, sessionId: string, start: StartId): Drift | null {
  return marks(numberedValues(log, athleteId, sessionId, 'mark.toHands', start).filter((each) => each.unit === 'm'));
}

/** Whether the next pass fits; null without a plan of the floor or a known spread. */
export function advice(held: Drift | null, plan: FloorPlan | null): MarkAdvice | null {
  return held === null || plan === null ? null : markAdvice(held, plan);
}
