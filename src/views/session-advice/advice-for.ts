import { numberedValues, sessionReps, usualSpread, type AthleteLog, type Ladder } from '../../athletelog/index.ts';
import { stopAdvice, type StopRules } from '../../compare/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import type { StartId } from '../../starts/start.ts';
import { BAND_UNITS } from '../../tolerances/index.ts';
import { adviceWords, type AdviceWords } from './advice-words.ts';
import { inARow } from './in-a-row.ts';

/** What an athlete's session so far says about stopping, in words, what ends the day first; empty when nothing speaks against another rep, which is no clearance. */
export function adviceFor(log: AthleteLog, athleteId: string, sessionId: string, rules: StopRules, ladder: Ladder): readonly AdviceWords[] {
  const reps = sessionReps(log, athleteId, sessionId);
  const usualStart = log.athletes.find((athlete) => athlete.id === athleteId)?.usualStart ?? 'two-step-run';
  const unitOf = (start: StartId, measure: MeasureId) => numberedValues(log, athleteId, sessionId, measure, start).at(-1)?.unit ?? BAND_UNITS[measure][0];
  const found = stopAdvice(oneUnit(reps), {
    usualStart, rules,
    history: (start, measure) => usualSpread(log, athleteId, start, measure, unitOf(start, measure), sessionId) ?? undefined,
  });
  const row = inARow(reps, ladder);
  const all = [...found, ...(row === null ? [] : [row])].map((each) => adviceWords(each, rules, usualStart, unitOf));
  return [...all.filter((each) => each.isStop), ...all.filter((each) => !each.isStop)];
}

/** The reps with only those values that carry the unit of the start's latest value of the measure: a session can begin without a scale and end with one. */
function oneUnit(reps: ReturnType<typeof sessionReps>): ReturnType<typeof sessionReps> {
  const latest = new Map<string, string>();
  for (const rep of reps) for (const [id, value] of Object.entries(rep.values)) latest.set(`${rep.start} ${id}`, value.unit);
  return reps.map((rep) => ({
    ...rep,
    values: Object.fromEntries(Object.entries(rep.values).filter(([id, value]) => value.unit === latest.get(`${rep.start} ${id}`))),
  }));
}
