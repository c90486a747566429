import { describe, expect, test } from 'vitest';
import { DEFAULT_STOP_RULES, drillEffect, stopAdvice, stopRulesSchema } from '../../src/compare/index.ts';
import type { SessionRep } from '../../src/compare/index.ts';
import type { StartId } from '../../src/starts/start.ts';
import { seededRandom } from '../support/check-table.ts';

const context = { usualStart: 'two-step-run', rules: DEFAULT_STOP_RULES } as const;
const rep = (start: StartId, hipSpeed: number | null, extra: Partial<SessionRep> = {}): SessionRep => ({
  start, values: hipSpeed === null ? {} : { 'launch.hipSpeed': { value: hipSpeed, unit: 'm/s', sd: 0.03 } }, hasPain: false, ...extra,
});
const kinds = (reps: readonly SessionRep[]): string[] => stopAdvice(reps, context).map((advice) => advice.kind);

describe('stop rules (common practice, no source)', () => {
  test('any pain is the first thing said, with the rep', () => {
    const reps = [rep('two-step-run', 4), rep('two-step-run', 4, { hasPain: true }), rep('two-step-run', 4)];
    expect(stopAdvice(reps, context)[0]).toEqual({ kind: 'stop-pain', rep: 2 });
  });

  test('hip speed that falls from 4.2 to 3.9 m/s over six passes ends the passes for today, with the figures', () => {
    const [advice] = stopAdvice([4.2, 4.16, 4.08, 4.05, 3.97, 3.9].map((v) => rep('two-step-run', v)), context);
    expect(advice).toMatchObject({ kind: 'stop-falling', measure: 'launch.hipSpeed', reps: 6 });
    if (advice?.kind !== 'stop-falling') throw new Error('no advice');
    expect(advice.change).toBeCloseTo(-0.3, 1);
    expect(advice.changePercent).toBeCloseTo(-7.1, 0);
    expect(advice.changeCi95[1]).toBeLessThan(0);
  });

  test('a fall below 3 %, a fall over four reps, a rise and a scatter stop nothing', () => {
    expect(kinds([4.2, 4.19, 4.18, 4.17, 4.16, 4.15].map((v) => rep('two-step-run', v)))).toEqual([]);
    expect(kinds([4.2, 4.1, 4.0, 3.9].map((v) => rep('two-step-run', v)))).toEqual([]);
    expect(kinds([3.9, 3.97, 4.05, 4.08, 4.16, 4.2].map((v) => rep('two-step-run', v)))).toEqual([]);
    expect(kinds([4.1, 4.2, 4.0, 4.2, 4.1, 4.15].map((v) => rep('two-step-run', v)))).toEqual([]);
  });

  test('steady athletes are told that they fall in at most 4 % of 1,000 drawn sessions of 8 reps', () => {
    const random = seededRandom(6);
    let told = 0;
    for (let i = 0; i < 1000; i += 1) {
      if (kinds(Array.from({ length: 8 }, () => rep('two-step-run', 4 + 0.12 * random.normal()))).includes('stop-falling')) told += 1;
    }
    expect(told).toBeLessThanOrEqual(40);
  });

  test('a mixed session judges each start by itself: drills that are slower by nature are no fall', () => {
    const reps = [4.2, 4.22, 4.19].map((v) => rep('two-step-run', v)).concat([3.1, 3.12, 3.09].map((v) => rep('tip-from-passe', v)));
    expect(kinds(reps)).toEqual(['drill-tries-done']);
  });

  test('a drill is done after three tries; the usual start is not counted', () => {
    const usual = rep('two-step-run', 4);
    const drill = rep('hop-from-passe', null);
    expect(kinds([usual, drill, drill])).toEqual([]);
    expect(stopAdvice([usual, drill, drill, drill], context)).toEqual([{ kind: 'drill-tries-done', start: 'hop-from-passe', tries: 3, limit: 3 }]);
    expect(kinds([usual, drill, drill, drill, usual])).toEqual([]);
    expect(kinds([drill, drill, usual, drill])).toEqual([]);
  });

  test('a drill is done once a try is really faster than the tries before, by measurement error alone or with the athlete\'s spread', () => {
    const reps = [rep('hop-from-passe', 3.2), rep('hop-from-passe', 3.5)];
    expect(stopAdvice(reps, context)[0]).toMatchObject({ kind: 'drill-faster', about: 'these-reps', change: expect.closeTo(0.3, 9), tries: 2 });
    const wide = { ...context, history: () => ({ sd: 0.3, degreesOfFreedom: 10 }) };
    expect(stopAdvice(reps, wide)).toEqual([]);
    const narrow = { ...context, history: () => ({ sd: 0.05, degreesOfFreedom: 10 }) };
    expect(stopAdvice(reps, narrow)[0]).toMatchObject({ kind: 'drill-faster', about: 'athlete' });
    expect(stopAdvice([rep('hop-from-passe', 3.2), rep('hop-from-passe', 3.22)], context)).toEqual([]);
  });

  test('twelve reps remind of rest; the coach can lower, raise or switch off the reminder', () => {
    const twelve = Array.from({ length: 12 }, () => rep('two-step-run', null));
    expect(kinds(twelve)).toEqual(['rest-reminder']);
    expect(stopAdvice(twelve, { ...context, rules: { ...DEFAULT_STOP_RULES, mostReps: null } })).toEqual([]);
  });

  test('the default rules pass their own gate; broken ones do not', () => {
    expect(stopRulesSchema.parse(DEFAULT_STOP_RULES)).toEqual(DEFAULT_STOP_RULES);
    expect(stopRulesSchema.safeParse({ ...DEFAULT_STOP_RULES, drillTries: 0 }).success).toBe(false);
    expect(stopRulesSchema.safeParse({ ...DEFAULT_STOP_RULES, version: 2 }).success).toBe(false);
    expect(stopRulesSchema.safeParse({ ...DEFAULT_STOP_RULES, extra: 1 }).success).toBe(false);
  });
});

describe('did the drill help', () => {
  test('usual start 4.0 before and 4.3 m/s after two drills is faster; the drills are named', () => {
    const reps = [3.98, 4.02, 4.0].map((v) => rep('two-step-run', v))
      .concat(rep('tip-from-passe', 2.4), rep('tip-from-passe', 2.5), [4.28, 4.31, 4.3].map((v) => rep('two-step-run', v)));
    expect(drillEffect(reps, 'two-step-run', 'launch.hipSpeed')).toMatchObject({ drills: ['tip-from-passe'], before: 3, after: 3, difference: { verdict: 'faster' } });
  });

  test('without reps on both sides there is no answer', () => {
    expect(drillEffect([rep('two-step-run', 4)], 'two-step-run', 'launch.hipSpeed')).toBeNull();
    expect(drillEffect([rep('tip-from-passe', 4), rep('two-step-run', 4)], 'two-step-run', 'launch.hipSpeed')).toBeNull();
  });
});
