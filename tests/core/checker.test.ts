import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { check, truthVerdict, verdictOf } from '../../src/checker/check.ts';
import type { Measure, MeasureId, MeasureUnit } from '../../src/shapes/measure.ts';
import type { StartId } from '../../src/starts/start.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { DEFAULT_PROFILE, editTolerance, measuresOf, setBand, toleranceOf } from '../../src/tolerances/index.ts';
import { WHY_NOT } from '../../src/units/why-not.ts';

const RUNS = { numRuns: 1000 };

/** A band, a soft margin and an interval around a value, all in tenths so that edges are hit often. */
const scene = fc
  .record({
    low: fc.integer({ min: -500, max: 1500 }),
    width: fc.integer({ min: 0, max: 400 }),
    margin: fc.integer({ min: 0, max: 200 }),
    value: fc.integer({ min: -900, max: 2400 }),
    left: fc.integer({ min: 0, max: 300 }),
    right: fc.integer({ min: 0, max: 300 }),
  })
  .map(({ low, width, margin, value, left, right }) => ({
    band: [low / 10, (low + width) / 10] as const,
    margin: margin / 10,
    value: value / 10,
    ci95: [(value - left) / 10, (value + right) / 10] as const,
  }));

describe('verdicts', () => {
  test.each([
    [45, 'in-band'], [65, 'in-band'], [55, 'in-band'], [44.9, 'near'], [65.1, 'near'], [35, 'near'], [75, 'near'], [34.9, 'out'], [75.1, 'out'], [0, 'out'], [180, 'out'],
  ] as const)('band 45 to 65 with soft margin 10: exactly %f is %s (both ends belong to their zone)', (value, expected) => {
    expect(truthVerdict(value, [45, 65], 10)).toBe(expected);
  });

  test.each([
    [[46, 64], 'in-band'], [[45, 65], 'in-band'], [[60, 66], 'too-close'], [[40, 50], 'too-close'], [[30, 80], 'too-close'], [[66, 70], 'near'], [[70, 80], 'near'], [[75, 90], 'near'],
    [[75.1, 90], 'out'], [[20, 34.9], 'out'], [[20, 40], 'near'], [[-Infinity, Infinity], 'too-close'], [[65, 70], 'near'], [[40, 45], 'near'],
  ] as const)('band 45 to 65 with soft margin 10: the interval %j is %s', (ci95, expected) => {
    expect(verdictOf(ci95, [45, 65], 10)).toBe(expected);
  });

  test('an interval across an end of the band is too close to call, never a fail; and nothing else is too close', () => {
    fc.assert(
      fc.property(scene, ({ band, margin, ci95 }) => {
        const across = (edge: number): boolean => ci95[0] < edge && edge < ci95[1];
        expect(verdictOf(ci95, band, margin) === 'too-close').toBe(across(band[0]) || across(band[1]));
      }),
      RUNS,
    );
  });

  test('a fail needs the whole interval beyond the soft margin: no value inside the interval would be judged milder', () => {
    fc.assert(
      fc.property(scene, fc.double({ min: 0, max: 1, noNaN: true }), ({ band, margin, ci95 }, share) => {
        const truth = ci95[0] + share * (ci95[1] - ci95[0]);
        const verdict = verdictOf(ci95, band, margin);
        if (verdict === 'out') expect(truthVerdict(truth, band, margin)).toBe('out');
        if (verdict === 'in-band') expect(truthVerdict(truth, band, margin)).toBe('in-band');
        if (verdict === 'near') expect(truth <= band[0] || truth >= band[1]).toBe(true);
      }),
      RUNS,
    );
  });

  test('where the truth is further from every edge than the interval is wide, the verdict is the truth’s own', () => {
    fc.assert(
      fc.property(scene, fc.double({ min: 0, max: 1, noNaN: true }), ({ band, margin, ci95 }, share) => {
        const truth = ci95[0] + share * (ci95[1] - ci95[0]);
        const width = ci95[1] - ci95[0];
        const edges = [band[0] - margin, band[0], band[1], band[1] + margin];
        fc.pre(edges.every((edge) => Math.abs(truth - edge) > width));
        expect(verdictOf(ci95, band, margin)).toBe(truthVerdict(truth, band, margin));
      }),
      RUNS,
    );
  });

  test('an interval that shrinks to its value ends at the truth’s verdict', () => {
    fc.assert(
      fc.property(scene, ({ band, margin, value }) => {
        expect(verdictOf([value, value], band, margin)).toBe(truthVerdict(value, band, margin));
      }),
      RUNS,
    );
  });

  test('upside-down or missing numbers are a broken call', () => {
    expect(() => verdictOf([5, 4], [0, 1], 1)).toThrow(RangeError);
    expect(() => verdictOf([4, 5], [1, 0], 1)).toThrow(RangeError);
    expect(() => verdictOf([4, 5], [0, 1], -1)).toThrow(RangeError);
    expect(() => truthVerdict(Number.NaN, [0, 1], 1)).toThrow(RangeError);
  });
});

describe('check', () => {
  test('every scored measure of a start gives one finding in the order of the measures; measures without a band give none', () => {
    for (const start of START_IDS) {
      const scored = measuresOf(start).filter((id) => toleranceOf(DEFAULT_PROFILE, start, id)?.band !== null);
      expect(check(start, {}, DEFAULT_PROFILE, 'left').map((finding) => finding.measure)).toEqual(scored);
    }
    expect(check('power-hurdle', {}, DEFAULT_PROFILE, 'left').some((finding) => finding.measure === 'launch.hipSpeed')).toBe(false);
  });

  test('what is not measured is never scored: verdict "not-measured" with its reason, no side, weight 0', () => {
    for (const why of WHY_NOT) {
      const finding = only('hop-from-passe', 'passe.knee', { measured: false, why });
      expect(finding).toEqual({ measure: 'passe.knee', verdict: 'not-measured', side: null, value: null, ci95: null, band: [45, 65], why, weight: 0 });
    }
  });

  test('weight = departure in soft margins × importance × trust: 92° exactly is 2.7 margins over 65°, importance 5, so 13.5', () => {
    expect(only('hop-from-passe', 'passe.knee', exactly(92, 'deg')).weight).toBeCloseTo(2.7 * 5, 10);
    // ± 10° is one soft margin wide: trust ½.
    expect(only('hop-from-passe', 'passe.knee', around(92, 10, 'deg')).weight).toBeCloseTo((2.7 * 5) / 2, 10);
  });

  test('the weight grows with the departure, with importance and with certainty, and is 0 wherever no cue is due', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 180, noNaN: true }), fc.double({ min: 0, max: 40, noNaN: true }), fc.double({ min: 0.1, max: 20, noNaN: true }), (value, half, more) => {
        const at = (v: number, h: number): ReturnType<typeof only> => only('hop-from-passe', 'passe.knee', around(v, h, 'deg'));
        const finding = at(value, half);
        if (finding.verdict === 'out' || finding.verdict === 'near') {
          expect(finding.weight).toBeGreaterThanOrEqual(0);
          expect(at(value, half / 2).weight).toBeGreaterThanOrEqual(finding.weight);
          if (value > 65 && value + more + half <= 180) expect(at(value + more, half).weight).toBeGreaterThanOrEqual(finding.weight);
        } else {
          expect(finding.weight).toBe(0);
        }
      }),
      RUNS,
    );
  });

  test('a nearly straight pushing knee of 176° ± 8° is in band 160 to 180: geometry allows no knee beyond 180°', () => {
    const finding = only('sprint-lunge', 'launch.pushKnee', around(176, 8, 'deg'));
    expect(finding.verdict).toBe('in-band');
    expect(finding.ci95).toEqual([168, 184]);
  });

  test('the first step is held against the lead leg: the other foot is out, an uncertain foot too close to call', () => {
    expect(only('two-step-run', 'steps.firstLeg', exactly(-1, 'side'), 'left')).toMatchObject({ verdict: 'in-band', side: null, band: [-1, -1], weight: 0 });
    expect(only('two-step-run', 'steps.firstLeg', exactly(1, 'side'), 'right')).toMatchObject({ verdict: 'in-band', band: [1, 1] });
    expect(only('two-step-run', 'steps.firstLeg', exactly(1, 'side'), 'left')).toMatchObject({ verdict: 'out', side: 'above', weight: 15 });
    expect(only('two-step-run', 'steps.firstLeg', exactly(-1, 'side'), 'right')).toMatchObject({ verdict: 'out', side: 'below', weight: 15 });
    expect(only('two-step-run', 'steps.firstLeg', { ...exactly(1, 'side'), ci95: [-1, 1] }, 'right').verdict).not.toBe('out');
  });

  test('three steps instead of two are out, two are in band', () => {
    expect(only('two-step-run', 'steps.count', exactly(2, 'count')).verdict).toBe('in-band');
    expect(only('two-step-run', 'steps.count', exactly(3, 'count'))).toMatchObject({ verdict: 'out', side: 'above' });
  });

  test('a band in metres without a scale is not measured for want of a scale; any other unit than the band’s cannot be compared; no number is a broken call', () => {
    const profile = editTolerance(DEFAULT_PROFILE, 'power-hurdle', 'launch.hipSpeed', { band: [3, 5], softMargin: 0.2, unit: 'm/s' });
    const findings = check('power-hurdle', { 'launch.hipSpeed': exactly(3.1, 'leg/s') }, profile, 'left');
    expect(findings.find((finding) => finding.measure === 'launch.hipSpeed')).toMatchObject({ verdict: 'not-measured', why: 'no-scale' });
    const inLegs = editTolerance(DEFAULT_PROFILE, 'power-hurdle', 'launch.hipSpeed', { band: [3, 5], softMargin: 0.2, unit: 'leg/s' });
    const scaled = check('power-hurdle', { 'launch.hipSpeed': exactly(3.1, 'm/s') }, inLegs, 'left');
    expect(scaled.find((finding) => finding.measure === 'launch.hipSpeed')).toEqual({
      measure: 'launch.hipSpeed', verdict: 'not-measured', side: null, value: null, ci95: null, band: [3, 5], why: 'other-unit', weight: 0,
    });
    expect(only('power-hurdle', 'passe.knee', exactly(50, 'leg'))).toMatchObject({ verdict: 'not-measured', why: 'other-unit', weight: 0 });
    expect(() => check('power-hurdle', { 'passe.knee': exactly(Number.NaN, 'deg') }, DEFAULT_PROFILE, 'left')).toThrow(RangeError);
  });

  test('the coach’s own band decides: 92° is out of 45 to 65 and in band for a coach who sets 80 to 100', () => {
    const profile = setBand(DEFAULT_PROFILE, 'hop-from-passe', 'passe.knee', [80, 100]);
    const own = check('hop-from-passe', { 'passe.knee': exactly(92, 'deg') }, profile, 'left').find((finding) => finding.measure === 'passe.knee');
    expect(only('hop-from-passe', 'passe.knee', exactly(92, 'deg')).verdict).toBe('out');
    expect(own).toMatchObject({ verdict: 'in-band', band: [80, 100] });
  });
});

function only(start: StartId, id: MeasureId, measure: Measure, lead: 'left' | 'right' = 'left') {
  const found = check(start, { [id]: measure }, DEFAULT_PROFILE, lead).find((finding) => finding.measure === id);
  if (found === undefined) throw new Error(`${start} gave no finding for ${id}`);
  return found;
}

function exactly(value: number, unit: MeasureUnit): Extract<Measure, { measured: true }> {
  return around(value, 0, unit);
}

function around(value: number, half: number, unit: MeasureUnit): Extract<Measure, { measured: true }> {
  return { measured: true, value, unit, ci95: [value - half, value + half], t: null, frame: null, source: 'detected' };
}
