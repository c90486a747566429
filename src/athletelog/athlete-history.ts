import { repValueOf, spreadOverSessions } from '../compare/index.ts';
import type { NumberedValue, RepSpread, RepValue, SessionRep } from '../compare/index.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import type { MeasureId } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { bySession, repsOf } from './log.ts';
import type { AthleteLog, Rep } from './schema.ts';

/** An athlete's session as the stop rules and the drill comparison read it, in order. */
export function sessionReps(log: AthleteLog, athleteId: string, sessionId: string): readonly SessionRep[] {
  return repsOf(log, { athleteId, sessionId }).map((rep) => ({ start: rep.start, values: valuesOf(rep), hasPain: rep.hasPain }));
}

/** Every measured value of a rep. */
export function valuesOf(rep: Rep): Readonly<Partial<Record<MeasureId, RepValue>>> {
  return Object.fromEntries(MEASURE_IDS.flatMap((id) => {
    const value = repValueOf(rep.measures[id]);
    return value === null ? [] : [[id, value] as const];
  }));
}

/** One measure over an athlete's session with the reps' numbers, for drift and marks; reps without it are left out, and those of another start unless `start` is null. */
export function numberedValues(log: AthleteLog, athleteId: string, sessionId: string, measure: MeasureId, start: StartId | null): readonly NumberedValue[] {
  return repsOf(log, start === null ? { athleteId, sessionId } : { athleteId, sessionId, start }).flatMap((rep) => {
    const value = repValueOf(rep.measures[measure]);
    return value === null ? [] : [{ ...value, rep: rep.number }];
  });
}

/** The athlete's usual rep-to-rep spread of a start and measure in one unit, over all sessions but the one left out; null when no session has two such reps. */
export function usualSpread(
  log: AthleteLog, athleteId: string, start: StartId, measure: MeasureId, unit: RepValue['unit'], leaveOutSessionId: string | null,
): RepSpread | null {
  const sessions = bySession(repsOf(log, { athleteId, start }).filter((rep) => rep.sessionId !== leaveOutSessionId));
  return spreadOverSessions(sessions.map((reps) => reps.flatMap((rep) => {
    const value = repValueOf(rep.measures[measure]);
    return value === null || value.unit !== unit ? [] : [value];
  })));
}
