import { describe, expect, test } from 'vitest';
import {
  DEFAULT_LADDER, EMPTY_LOG, LADDER_CANNOT_SAY, dayNumber, grewPercent, ladderOf, ladderSchema, lengthOn, logFaults, logSchema, nextRepNumber,
  numberedValues, putAthlete, putRep, putSession, removeAthlete, removeRep, removeSession, repsOf, rulesFor, sessionReps, trend, usualSpread, workOn,
} from '../../src/athletelog/index.ts';
import type { Athlete, AthleteLog, Rep, Session } from '../../src/athletelog/index.ts';
import { DEFAULT_STOP_RULES, marks, stopAdvice } from '../../src/compare/index.ts';
import type { Measure, MeasureId, MeasureUnit } from '../../src/shapes/measure.ts';
import { START_IDS } from '../../src/starts/start.ts';
import type { StartId } from '../../src/starts/start.ts';
import { DEFAULT_PROFILE, measuresOf, toleranceOf } from '../../src/tolerances/index.ts';

const athlete = (id: string, extra: Partial<Athlete> = {}): Athlete =>
  ({ id, name: `Invented ${id}`, birthYear: null, lead: 'left', usualStart: 'two-step-run', growth: [], groups: [], ticks: [], note: '', isInvented: false, ...extra });
const session = (id: string, date: string): Session => ({ id, date, place: 'Invented hall', surfaces: [], present: [], note: '', isInvented: false });
const measure = (value: number, unit: MeasureUnit, half = 0.01): Measure =>
  ({ measured: true, value, unit, ci95: [value - half, value + half], t: null, frame: null, source: 'detected' });
const rep = (athleteId: string, sessionId: string, number: number, extra: Partial<Rep> = {}): Rep => ({
  id: `${athleteId}-${sessionId}-${number}`, athleteId, sessionId, number, start: 'two-step-run', surfaces: ['sprung-floor'], lead: 'left', legs: null, hasPain: false, pass: '', fitted: null, markAtM: null, isStarred: false,
  note: '', clip: null, moments: null, measures: {}, stated: {}, judgedBy: null, ...extra,
});
const logOf = (athletes: readonly Athlete[], sessions: readonly Session[], reps: readonly Rep[]): AthleteLog => ({ athletes, sessions, reps });

describe('log', () => {
  const log = [session('mon', '2026-03-02'), session('wed', '2026-03-04')].reduce(putSession, [athlete('a'), athlete('b')].reduce(putAthlete, EMPTY_LOG));

  test('a rep needs its athlete and session and a number of its own; putting it again changes it', () => {
    const one = putRep(log, rep('a', 'mon', 1));
    expect(nextRepNumber(one, 'a', 'mon')).toBe(2);
    expect(nextRepNumber(one, 'b', 'mon')).toBe(1);
    expect(putRep(one, rep('a', 'mon', 1, { note: 'long hurdle' })).reps).toEqual([rep('a', 'mon', 1, { note: 'long hurdle' })]);
    expect(() => putRep(one, rep('c', 'mon', 1))).toThrow(RangeError);
    expect(() => putRep(one, rep('a', 'tue', 1))).toThrow(RangeError);
    expect(() => putRep(one, rep('a', 'mon', 1, { id: 'another' }))).toThrow(RangeError);
  });

  test('deleting an athlete leaves no rep of theirs and no session that was only theirs; others keep theirs', () => {
    const full = [rep('a', 'mon', 1), rep('a', 'wed', 1), rep('b', 'wed', 1)].reduce(putRep, putSession(log, session('planned', '2026-04-01')));
    const left = removeAthlete(full, 'a');
    expect(left.athletes.map((each) => each.id)).toEqual(['b']);
    expect(left.sessions.map((each) => each.id)).toEqual(['wed', 'planned']);
    expect(left.reps.map((each) => each.id)).toEqual(['b-wed-1']);
    expect(JSON.stringify(left)).not.toMatch(/Invented a|"a"|a-mon|a-wed/);
    expect(removeSession(full, 'wed').reps.map((each) => each.id)).toEqual(['a-mon-1']);
    expect(removeRep(full, 'a-mon-1').reps.length).toBe(2);
  });

  test('reps come oldest session first, then by number, whatever the order in which they were put', () => {
    const mixed = [rep('a', 'wed', 2), rep('a', 'wed', 1), rep('b', 'mon', 1), rep('a', 'mon', 1, { start: 'power-hurdle' })].reduce(putRep, log);
    expect(repsOf(mixed, { athleteId: 'a' }).map((each) => each.id)).toEqual(['a-mon-1', 'a-wed-1', 'a-wed-2']);
    expect(repsOf(mixed, { start: 'power-hurdle' }).map((each) => each.id)).toEqual(['a-mon-1']);
  });

  test('the gate takes what holds together and names what does not', () => {
    const full = [rep('a', 'mon', 1)].reduce(putRep, log);
    expect(logSchema.parse(full)).toEqual(full);
    expect(logFaults({ ...full, athletes: [] })).toEqual(['rep a-mon-1 has no athlete']);
    expect(logSchema.safeParse({ ...full, sessions: [] }).success).toBe(false);
    expect(logSchema.safeParse({ ...full, athletes: [athlete('a'), athlete('a')] }).success).toBe(false);
    expect(logSchema.safeParse({ ...full, reps: [{ ...rep('a', 'mon', 1), start: 'cannonball' }] }).success).toBe(false);
    expect(logSchema.safeParse({ ...full, reps: [{ ...rep('a', 'mon', 1), measures: { 'passe.knee': { measured: true, value: Number.NaN } } }] }).success).toBe(false);
    expect(logSchema.safeParse({ ...full, extra: 1 }).success).toBe(false);
  });
});

describe('growth', () => {
  const child = athlete('a', { growth: [{ date: '2026-07-01', heightM: 1.46, legLengthM: null }, { date: '2026-01-01', heightM: 1.4, legLengthM: 0.68 }] });

  test('between two days the height lies on the straight line, after the last one it stays and grows old after 90 days', () => {
    // 1 January to 1 July 2026 are 181 days; 1 April is day 90.
    expect(lengthOn(child, 'heightM', '2026-04-01')).toEqual({ metres: expect.closeTo(1.4 + (90 / 181) * 0.06, 9), from: 'between', ageDays: 90, isOld: false });
    expect(lengthOn(child, 'heightM', '2026-09-29')).toEqual({ metres: 1.46, from: 'measured', ageDays: 90, isOld: false });
    expect(lengthOn(child, 'heightM', '2026-09-30')).toMatchObject({ ageDays: 91, isOld: true });
    expect(lengthOn(child, 'heightM', '2025-12-31')).toEqual({ metres: 1.4, from: 'later-measured', ageDays: 1, isOld: false });
    expect(lengthOn(child, 'legLengthM', '2026-07-01')).toMatchObject({ metres: 0.68, isOld: true });
    expect(lengthOn(athlete('b'), 'heightM', '2026-01-01')).toBeNull();
  });

  test('growth over half a year is 4.3 percent; unknown without a measurement; a date that is none is refused', () => {
    expect(grewPercent(child, '2026-01-01', '2026-07-01')).toBeCloseTo(100 * (1.46 / 1.4 - 1), 9);
    expect(grewPercent(athlete('b'), '2026-01-01', '2026-07-01')).toBeNull();
    expect(dayNumber('1970-01-02')).toBe(1);
    expect(() => dayNumber('2026-02-30')).toThrow(RangeError);
    expect(() => dayNumber('1.2.2026')).toThrow(RangeError);
  });
});

describe('an athlete\'s session', () => {
  const values = [4.2, 4.16, 4.08, 4.05, 3.97, 3.9];
  const log = logOf([athlete('a')], [session('s', '2026-03-02'), session('t', '2026-03-09')], [
    ...values.map((v, i) => rep('a', 's', i + 1, { measures: { 'launch.hipSpeed': measure(v, 'm/s', 0.05), 'mark.toHands': measure(4 + 0.05 * i, 'm') } })),
    rep('a', 't', 1, { measures: { 'launch.hipSpeed': measure(5, 'leg/s') } }),
    rep('a', 't', 2, { start: 'tip-from-passe', measures: { 'launch.hipSpeed': { measured: false, why: 'time-base-unknown' } } }),
  ]);

  test('goes into the stop rules as it is', () => {
    expect(stopAdvice(sessionReps(log, 'a', 's'), { usualStart: 'two-step-run', rules: DEFAULT_STOP_RULES })[0]?.kind).toBe('stop-falling');
    expect(sessionReps(log, 'a', 't')).toEqual([
      { start: 'two-step-run', values: { 'launch.hipSpeed': { value: 5, unit: 'leg/s', sd: expect.closeTo(0.01 / 1.96, 9) } }, hasPain: false },
      { start: 'tip-from-passe', values: {}, hasPain: false },
    ]);
  });

  test('goes into the marks: 5 cm a rep', () => {
    expect(marks(numberedValues(log, 'a', 's', 'mark.toHands', 'two-step-run'))).toMatchObject({ isDrifting: true, perRep: expect.closeTo(0.05, 9) });
  });

  test('its usual spread counts one unit and leaves out the session in question', () => {
    expect(usualSpread(log, 'a', 'two-step-run', 'launch.hipSpeed', 'm/s', 't')!.degreesOfFreedom).toBe(5);
    expect(usualSpread(log, 'a', 'two-step-run', 'launch.hipSpeed', 'm/s', 's')).toBeNull();
    expect(usualSpread(log, 'a', 'two-step-run', 'launch.hipSpeed', 'leg/s', null)).toBeNull();
  });
});

describe('trend over sessions', () => {
  const sessions = Array.from({ length: 7 }, (_, i) => session(`s${i}`, new Date(Date.UTC(2026, 0, 1 + 10 * i)).toISOString().slice(0, 10)));
  function logWith(levels: readonly number[], id: MeasureId, unit: MeasureUnit, scatter = 0.05): AthleteLog {
    const reps = levels.flatMap((level, i) => [-1, 0, 1].map((k) => rep('a', `s${i}`, k + 2, { measures: { [id]: measure(level + k * scatter, unit) } })));
    return logOf([athlete('a', { growth: [{ date: '2026-01-01', heightM: 1.4, legLengthM: null }, { date: '2026-03-02', heightM: 1.428, legLengthM: null }] })], sessions, reps);
  }

  test('speed that rises by 0.1 m/s every 10 days rises by 0.3 per 30 days: faster, and growth of 2 percent stands beside it', () => {
    const found = trend(logWith([4.0, 4.1, 4.2, 4.3, 4.4, 4.5, 4.6], 'launch.hipSpeed', 'm/s'), 'a', 'two-step-run', 'launch.hipSpeed')!;
    expect(found).toMatchObject({ unit: 'm/s', verdict: 'rising', means: 'faster', per30Days: expect.closeTo(0.3, 9), change: expect.closeTo(0.6, 9), grewPercent: expect.closeTo(2, 1) });
    expect(found.points.map((point) => point.reps)).toEqual([3, 3, 3, 3, 3, 3, 3]);
    // Scatter of each session −0.05, 0, 0.05: SD 0.05, three reps a session.
    expect(found.smallestRealChange).toBeCloseTo((1.96 * Math.SQRT2 * 0.05) / Math.sqrt(3), 9);
    expect(found.p).toBeCloseTo(2 / 5040, 9);
  });

  test('time to the hands that falls means faster; a shape that changes means neither', () => {
    expect(trend(logWith([1.3, 1.25, 1.2, 1.16, 1.1, 1.06, 1], 'time.toHands', 's', 0.01), 'a', 'two-step-run', 'time.toHands')).toMatchObject({ verdict: 'falling', means: 'faster' });
    expect(trend(logWith([60, 65, 70, 75, 80, 85, 90], 'passe.knee', 'deg', 2), 'a', 'two-step-run', 'passe.knee')).toMatchObject({ verdict: 'rising', means: null });
  });

  test('a steady rise that is smaller than the reps\' own scatter is no trend; four sessions are too few; scatter alone is no trend', () => {
    expect(trend(logWith([4, 4.01, 4.02, 4.03, 4.04, 4.05, 4.06], 'launch.hipSpeed', 'm/s', 0.1), 'a', 'two-step-run', 'launch.hipSpeed')!.verdict).toBe('no-trend');
    expect(trend(logWith([4, 4.2, 4.4, 4.6], 'launch.hipSpeed', 'm/s'), 'a', 'two-step-run', 'launch.hipSpeed')!.verdict).toBe('too-few-sessions');
    expect(trend(logWith([4, 4.5, 3.9, 4.4, 4.1, 4.5, 4], 'launch.hipSpeed', 'm/s'), 'a', 'two-step-run', 'launch.hipSpeed')!.verdict).toBe('no-trend');
  });

  test('reps in another unit are counted as left out; nothing measured is no trend at all', () => {
    const log = logWith([4.0, 4.1, 4.2, 4.3, 4.4, 4.5, 4.6], 'launch.hipSpeed', 'm/s');
    const mixed = { ...log, reps: [rep('a', 's0', 9, { measures: { 'launch.hipSpeed': measure(5, 'leg/s') } }), ...log.reps] };
    expect(trend(mixed, 'a', 'two-step-run', 'launch.hipSpeed')!.leftOut).toBe(1);
    expect(trend(log, 'a', 'power-hurdle', 'launch.hipSpeed')).toBeNull();
  });
});

describe('ladder (common practice, no source)', () => {
  /** Every scored measure of a start in the middle of its band, or far below it. */
  function shapes(start: StartId, isGood: boolean): Rep['measures'] {
    return Object.fromEntries(measuresOf(start).flatMap((id) => {
      const tolerance = toleranceOf(DEFAULT_PROFILE, start, id);
      if (tolerance === null || tolerance.band === null) return [];
      const middle = (tolerance.band[0] + tolerance.band[1]) / 2;
      if (tolerance.unit === 'side') return [[id, measure(isGood ? -1 : 1, 'side', 0)]];
      const value = isGood ? middle : tolerance.band[0] - 3 * tolerance.softMargin - 1;
      return [[id, measure(value, tolerance.unit, 0)]];
    }));
  }
  const days = [session('s', '2026-03-02')];
  const withReps = (start: StartId, good: readonly boolean[]): AthleteLog =>
    logOf([athlete('a')], days, good.map((isGood, i) => rep('a', 's', i + 1, { start, measures: shapes(start, isGood) })));
  const rung = (log: AthleteLog, start: StartId) => ladderOf(log, 'a', DEFAULT_PROFILE, DEFAULT_LADDER, ['sprung-floor']).find((each) => each.start === start)!;

  test('the default order is that of the starts; three good reps hold, two say nothing, bad ones do not hold', () => {
    expect(ladderOf(EMPTY_LOG, 'a', DEFAULT_PROFILE, DEFAULT_LADDER, []).map((each) => [each.start, each.shapes])).toEqual(START_IDS.map((id) => [id, 'too-few-reps']));
    expect(rung(withReps('hop-from-passe', [true, true, true]), 'hop-from-passe')).toMatchObject({ place: 4, reps: 3, sessions: 1, lastDate: '2026-03-02', shapes: 'hold' });
    expect(rung(withReps('hop-from-passe', [true, true]), 'hop-from-passe').shapes).toBe('too-few-reps');
    expect(rung(withReps('hop-from-passe', [true, false, false]), 'hop-from-passe').shapes).toBe('not-yet');
  });

  test('a shape that is off in half of its clear reps, twice or more, is a habit: the shapes do not hold, however many others do', () => {
    const short = toleranceOf(DEFAULT_PROFILE, 'hop-from-passe', 'plant.lungeRatio')!;
    const withShortLunge = (shortReps: readonly number[]) => logOf([athlete('a')], days, [1, 2, 3, 4].map((n) => rep('a', 's', n, {
      start: 'hop-from-passe',
      measures: { ...shapes('hop-from-passe', true), ...(shortReps.includes(n) ? { 'plant.lungeRatio': measure(short.band![0] - 2 * short.softMargin, short.unit, 0) } : {}) },
    })));
    const once = rung(withShortLunge([2]), 'hop-from-passe');
    expect(once).toMatchObject({ shapes: 'hold', off: [{ measure: 'plant.lungeRatio', out: 1, clear: 4 }] });
    const twice = rung(withShortLunge([1, 3]), 'hop-from-passe');
    expect(twice.verdicts['in-band']).toBeGreaterThan(0.9 * (twice.verdicts['in-band'] + twice.verdicts.out));
    expect(twice).toMatchObject({ shapes: 'not-yet', off: [{ measure: 'plant.lungeRatio', out: 2, clear: 4 }] });
  });

  test('only the latest five reps count; what is mostly not measured cannot be told', () => {
    expect(rung(withReps('hop-from-passe', [false, false, true, true, true, true, true]), 'hop-from-passe').shapes).toBe('hold');
    const filmed: Rep['clip'] = { fileName: 'a.mp4', timeBase: { kind: 'known' }, fps: 60, model: 'm', engineVersion: 'e' };
    const blind = logOf([athlete('a')], days, [1, 2, 3].map((n) => rep('a', 's', n, { start: 'hop-from-passe', clip: filmed })));
    expect(rung(blind, 'hop-from-passe').shapes).toBe('cannot-tell');
    // Reps by stopwatch show no shape: they count as reps, and leave what the clips said alone.
    const good = withReps('hop-from-passe', [true, true, true]);
    const timed = { ...good, reps: [...good.reps, ...[4, 5, 6, 7].map((n) => rep('a', 's', n, { start: 'hop-from-passe', measures: { 'time.toHands': measure(1.4, 's', 0.3) } }))] };
    expect(rung(timed, 'hop-from-passe')).toMatchObject({ reps: 7, looked: 3, shapes: 'hold' });
  });

  test('work goes on at the first rung that does not hold', () => {
    const rungs = ladderOf(withReps('two-step-run', [true, true, true]), 'a', DEFAULT_PROFILE, DEFAULT_LADDER, []);
    expect(workOn(rungs)?.start).toBe('power-hurdle');
    expect(workOn(rungs.map((each) => ({ ...each, shapes: 'hold' as const })))).toBeNull();
  });

  test('surface rules: soft floors want the power hurdle, a tip is a beginner\'s drill only with wedge and pit, half-kneeling is never done in sets', () => {
    const kinds = (start: StartId, surfaces: Parameters<typeof rulesFor>[2]) => rulesFor(DEFAULT_LADDER, start, surfaces).map((rule) => rule.kind);
    expect(kinds('power-hurdle', ['air-floor'])).toEqual(['usual-minimum']);
    expect(kinds('two-step-run', ['trampoline-track'])).toEqual(['very-advanced-only']);
    expect(kinds('two-step-run', ['sprung-floor'])).toEqual([]);
    expect(kinds('tip-from-passe', ['incline', 'pit'])).toEqual(['beginner-drill']);
    expect(kinds('tip-from-passe', ['incline'])).toEqual([]);
    expect(kinds('tip-from-passe', ['sprung-floor'])).toEqual(['coach-at-side']);
    expect(kinds('half-kneeling', [])).toEqual(['never-in-sets']);
  });

  test('nothing in it clears anyone: no rule, state or sentence says ready, safe to or cleared', () => {
    const words = JSON.stringify([DEFAULT_LADDER, ladderOf(withReps('two-step-run', [true, true, true]), 'a', DEFAULT_PROFILE, DEFAULT_LADDER, [])]);
    expect(words).not.toMatch(/\bready|\bcleared|\bsafe to/i);
    expect(LADDER_CANNOT_SAY.join(' ')).toMatch(/qualified coach decides/);
    expect(LADDER_CANNOT_SAY.length).toBe(5);
  });

  test('the default ladder passes its own gate; one that misses a start does not', () => {
    expect(ladderSchema.parse(DEFAULT_LADDER)).toEqual(DEFAULT_LADDER);
    expect(ladderSchema.safeParse({ ...DEFAULT_LADDER, order: [...START_IDS.slice(1), START_IDS[1]] }).success).toBe(false);
  });
});
