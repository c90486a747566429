import { describe, expect, test } from 'vitest';
import {
  alignRepetitions, blandAltman, difference, drift, intraclass, mannKendall, markAdvice, marks, minimalDetectableChange95,
  fasterWhen, repValueOf, repeatabilityCoefficient, secondAtFirst, spreadOverSessions, standardErrorOfMeasurement, theilSen, typicalError,
} from '../../src/compare/index.ts';
import type { RepValue } from '../../src/compare/index.ts';
import type { Moment, Moments } from '../../src/phases/moment.ts';
import { normalQuantile, normalShareBelow, Z95 } from '../../src/units/normal-distribution.ts';
import { tQuantile, tShareBelow } from '../../src/units/student-t.ts';
import { checkColumn, checkTable, seededRandom } from '../support/check-table.ts';

const list = (name: string, column: string): number[] => [...checkColumn(name, column)];
const pefr = (column: string): number[] => list('bland-altman-1986-pefr', column);
const speeds = (values: readonly number[], sd = 0.02): RepValue[] => values.map((value) => ({ value, unit: 'm/s', sd }));
const higher = { fasterWhen: 'higher' } as const;

describe('distributions', () => {
  test.each([
    [0.8, [1.37638192, 1.06066017, 0.97847231, 0.93179873, 0.87905783, 0.85376726, 0.84462684]],
    [0.975, [12.70620474, 4.30265273, 3.18244631, 2.6861481, 2.22813885, 2.04227246, 1.97993041]],
    [0.995, [63.65674116, 9.9248432, 5.84090931, 4.34847908, 3.16927267, 2.74999565, 2.61742115]],
  ])('t below which %s lies, for 1, 2, 3, 4.37, 10, 30 and 120 degrees of freedom (scipy 1.17.1), within 1e-6', (p, expected) => {
    [1, 2, 3, 4.37, 10, 30, 120].forEach((df, i) => {
      expect(Math.abs(tQuantile(p, df) - expected[i]!)).toBeLessThanOrEqual(1e-6);
      expect(tQuantile(1 - p, df)).toBeCloseTo(-tQuantile(p, df), 9);
      expect(tShareBelow(tQuantile(p, df), df)).toBeCloseTo(p, 9);
    });
  });

  test('with 1 and 2 degrees of freedom t has a closed form: tan(π(p − ½)) and (2p − 1)/√(2p(1 − p))', () => {
    for (const p of [0.55, 0.7, 0.9, 0.975, 0.999]) {
      expect(tQuantile(p, 1) / Math.tan(Math.PI * (p - 0.5))).toBeCloseTo(1, 8);
      expect(tQuantile(p, 2) / ((2 * p - 1) / Math.sqrt(2 * p * (1 - p)))).toBeCloseTo(1, 8);
    }
  });

  test('normal distribution: 1.959963985 cuts 97.5 %, −3.3 has .000483424 below (scipy 1.17.1); t with no end of freedom is normal', () => {
    expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 9);
    expect(Z95).toBeCloseTo(normalQuantile(0.975), 4);
    expect(normalShareBelow(-3.3)).toBeCloseTo(0.00048342414238377744, 12);
    expect(normalShareBelow(1.2345)).toBeCloseTo(0.8914916766373298, 12);
    expect(tQuantile(0.975, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959963984540054, 9);
    expect(() => tQuantile(1, 5)).toThrow(RangeError);
    expect(() => tQuantile(0.5, 0)).toThrow(RangeError);
  });
});

describe('published statistics', () => {
  test('ST-1: Shrout & Fleiss (1979), Psychol Bull 86:420–428, their table of 6 targets × 4 judges', () => {
    const found = intraclass(checkTable('shrout-fleiss-1979').map((row) => ['j1', 'j2', 'j3', 'j4'].map((j) => Number(row[j]))))!;
    const means = [found.betweenTargets, found.betweenJudges, found.withinTargets, found.residual];
    means.forEach((v, i) => { expect(Math.abs(v - [11.2417, 32.4861, 6.2639, 1.0194][i]!)).toBeLessThanOrEqual(5e-5); });
    const icc = [found.icc11, found.icc21, found.icc31, found.icc1k, found.icc2k, found.icc3k];
    // Published to two places: .17 .29 .71 .44 .62 .91.
    icc.forEach((v, i) => { expect(Math.abs(v - [0.17, 0.29, 0.71, 0.44, 0.62, 0.91][i]!)).toBeLessThanOrEqual(0.005); });
    icc.forEach((v, i) => { expect(Math.abs(v - [0.1657, 0.2898, 0.7148, 0.4428, 0.6201, 0.9093][i]!)).toBeLessThanOrEqual(5e-5); });
    expect(intraclass([[1, 2]])).toBeNull();
    expect(() => intraclass([[1, 2], [1]])).toThrow(RangeError);
  });

  test('ST-2: Bland & Altman (1986), Lancet 327:307–310, 17 subjects on two meters: bias −2.1, SD 38.8 L/min, limits by 1.96 SD', () => {
    const found = blandAltman(pefr('wright1'), pefr('mini1'))!;
    expect(Math.abs(found.bias - -2.1176)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(found.sd - 38.7651)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(found.limits[0] - -78.1)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(found.limits[1] - 73.86)).toBeLessThanOrEqual(0.05);
    // Published interval of the bias: −22.0 to 17.8.
    expect(Math.abs(found.biasCi95[0] - -22.0)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(found.biasCi95[1] - 17.8)).toBeLessThanOrEqual(0.1);
    expect(blandAltman([1], [2])).toBeNull();
  });

  test('ST-3: the same paper, each meter twice: typical error 15.36 and 20.42, repeatability 43.3 and 56.3 (published 43.2 and 56.4)', () => {
    expect(Math.abs(typicalError(pefr('wright1'), pefr('wright2'))! - 15.36)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(typicalError(pefr('mini1'), pefr('mini2'))! - 20.42)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(repeatabilityCoefficient(pefr('wright1'), pefr('wright2'))! - 43.3)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(repeatabilityCoefficient(pefr('mini1'), pefr('mini2'))! - 56.3)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(minimalDetectableChange95(typicalError(pefr('wright1'), pefr('wright2'))!) - 42.58)).toBeLessThanOrEqual(0.1);
    expect(typicalError([1], [2])).toBeNull();
  });

  test('ST-4: Weir (2005), J Strength Cond Res 19:231–240: a standard error of 5 needs a change of 13.859, of 3 8.32; four repeats halve it', () => {
    expect(minimalDetectableChange95(5)).toBeCloseTo(13.859, 3);
    expect(Math.abs(minimalDetectableChange95(3) - 8.32)).toBeLessThanOrEqual(0.005);
    expect(minimalDetectableChange95(5, 4)).toBeCloseTo(13.859 / 2, 3);
    expect(standardErrorOfMeasurement(10, 0.75)).toBeCloseTo(5, 12);
    expect(() => standardErrorOfMeasurement(10, 1.1)).toThrow(RangeError);
  });

  test('ST-5: typical error is the SD of the differences / √2 (Hopkins 2000, Sports Med 30:1–15)', () => {
    // Differences 1, −1, 3, −3: variance 20/3.
    expect(typicalError([1, 0, 3, 0], [0, 1, 0, 3])).toBeCloseTo(Math.sqrt(20 / 3 / 2), 12);
  });

  test('ST-6: Mann–Kendall on 14 values worked by hand (Little, MannKendallByHand): S 54, variance 332.667, Z 2.9058, one-sided p .0018', () => {
    const found = mannKendall(list('mann-kendall-example', 'value'))!;
    expect(found.s).toBe(54);
    expect(Math.abs(found.variance - 332.667)).toBeLessThanOrEqual(1e-3);
    expect(Math.abs(found.z - 2.9058)).toBeLessThanOrEqual(1e-4);
    expect(Math.abs(found.p / 2 - 0.0018)).toBeLessThanOrEqual(1e-4);
    expect(found.method).toBe('normal');
  });

  test('Mann–Kendall without ties counts orders: S 15 of 7 values has p .030159 (scipy 1.17.1 kendalltau exact); 3 equal values have no test', () => {
    const found = mannKendall([3.1, 2.7, 3.9, 4.4, 4.0, 5.2, 4.9])!;
    expect([found.s, found.method]).toEqual([15, 'exact']);
    expect(found.p).toBeCloseTo(0.03015873015873016, 9);
    expect(mannKendall([2, 2, 2])).toBeNull();
    expect(mannKendall([1, 2])).toBeNull();
  });

  test('ST-7: Theil–Sen on the same 14 values: slope .566667, 95 % .3250 to .8667 (scipy 1.17.1), intercept 12.7667', () => {
    const y = list('mann-kendall-example', 'value');
    const found = theilSen(y.map((_, i) => i), y)!;
    expect(Math.abs(found.slope - 0.566667)).toBeLessThanOrEqual(1e-4);
    expect(Math.abs(found.ci95![0] - 0.325)).toBeLessThanOrEqual(1e-4);
    expect(Math.abs(found.ci95![1] - 0.8667)).toBeLessThanOrEqual(1e-4);
    expect(Math.abs(found.intercept - 12.7667)).toBeLessThanOrEqual(1e-4);
  });

  test('Theil–Sen without ties: slope .266667, interval .033333 to .416667 (scipy 1.17.1), and none below five values', () => {
    const found = theilSen([0, 1, 2, 4, 5, 7, 8], [3.1, 2.7, 3.9, 4.4, 4.0, 5.2, 4.9])!;
    expect(found.slope).toBeCloseTo(0.2666666667, 9);
    expect(found.ci95).toEqual([expect.closeTo(0.0333333333, 9), expect.closeTo(0.4166666667, 9)]);
    expect(theilSen([1, 2, 3, 4], [1, 3, 2, 5])!.ci95).toBeNull();
    expect(theilSen([1, 1], [2, 3])).toBeNull();
  });

  test('the exact interval of a slope holds the truth in at least 95 % of 2,000 drawn series of 5, 6 and 8 (seed 9; 95 % less three standard errors)', () => {
    const random = seededRandom(9);
    for (const count of [5, 6, 8]) {
      let held = 0;
      for (let i = 0; i < 2000; i += 1) {
        const x = Array.from({ length: count }, (_, k) => k);
        const [low, high] = theilSen(x, x.map((k) => 0.3 * k + random.normal()))!.ci95!;
        if (low <= 0.3 && 0.3 <= high) held += 1;
      }
      expect(held / 2000).toBeGreaterThanOrEqual(0.95 - 3 * Math.sqrt((0.95 * 0.05) / 2000));
    }
  });
});

describe('is it faster', () => {
  test('two blocks without much measurement error give Welch\'s interval: .106641 to .643359 with 3.9637 degrees of freedom (scipy 1.17.1 ttest_ind)', () => {
    const found = difference(speeds([4.12, 4.31, 4.05, 4.22], 0), speeds([4.51, 4.44, 4.7], 0), higher)!;
    expect(found.value).toBeCloseTo(0.375, 12);
    expect(found.degreesOfFreedom).toBeCloseTo(3.9637014244, 8);
    expect(found.ci95).toEqual([expect.closeTo(0.1066409619, 7), expect.closeTo(0.6433590381, 7)]);
    expect([found.verdict, found.about, found.moreReps]).toEqual(['faster', 'athlete', 0]);
  });

  test('less time is faster, more time slower; more speed is faster; a shape is higher or lower', () => {
    const before = speeds([1.2, 1.21, 1.19, 1.2], 0.001);
    const after = speeds([1.0, 1.01, 0.99, 1.0], 0.001);
    expect(difference(before, after, { fasterWhen: 'lower' })!.verdict).toBe('faster');
    expect(difference(after, before, { fasterWhen: 'lower' })!.verdict).toBe('slower');
    expect(difference(before, after, higher)!.verdict).toBe('slower');
    expect(difference(before, after, { fasterWhen: 'neither' })!.verdict).toBe('lower');
    expect([fasterWhen('launch.hipSpeed'), fasterWhen('time.toHands'), fasterWhen('passe.knee')]).toEqual(['higher', 'lower', 'neither']);
  });

  test('two single reps differ by 1.96 √(sd₁² + sd₂²), and the result says that only these two reps are meant', () => {
    const found = difference(speeds([4.0], 0.03), speeds([4.1], 0.04), higher)!;
    expect(found.ci95).toEqual([expect.closeTo(0.1 - 1.959964 * 0.05, 6), expect.closeTo(0.1 + 1.959964 * 0.05, 6)]);
    expect([found.verdict, found.about, found.moreReps]).toEqual(['faster', 'these-reps', 0]);
    expect(difference(speeds([4.0], 0.06), speeds([4.1], 0.04), higher)).toMatchObject({ verdict: 'no-difference', moreReps: null });
  });

  test('the same two reps of an athlete known to scatter by 0.1 with 12 degrees of freedom are no difference, by t = 2.1788 on √2 · 0.1', () => {
    const found = difference(speeds([4.0], 0.03), speeds([4.1], 0.04), { ...higher, history: { sd: 0.1, degreesOfFreedom: 12 } })!;
    expect(found.ci95[1] - found.value).toBeCloseTo(2.178813 * Math.SQRT2 * 0.1, 5);
    expect([found.verdict, found.about]).toEqual(['no-difference', 'athlete']);
  });

  test('reps that happen to agree better than they can be measured do not narrow the interval below the measurement error', () => {
    const found = difference(speeds([4.0, 4.0, 4.0], 0.05), speeds([4.1, 4.1, 4.1], 0.05), higher)!;
    expect(found.ci95[1] - found.value).toBeCloseTo(2.776445 * 0.05 * Math.sqrt(2 / 3), 5);
  });

  test('an error shared by a whole block widens the interval, however many reps there are', () => {
    const many = (level: number): RepValue[] => speeds(Array.from({ length: 40 }, (_, i) => level + (i % 2) * 0.02), 0);
    const found = difference(many(4), many(4.1), { ...higher, setupSd: 0.1 })!;
    expect(found.ci95[1] - found.value).toBeGreaterThanOrEqual(1.96 * Math.SQRT2 * 0.1);
    expect(found.verdict).toBe('no-difference');
  });

  test('no rep, no difference; metres per second are not compared with leg lengths per second', () => {
    expect(difference([], speeds([4]), higher)).toBeNull();
    expect(() => difference(speeds([4]), [{ value: 5, unit: 'leg/s', sd: 0.1 }], higher)).toThrow(RangeError);
  });

  const cases = [
    { name: '3 against 3', n: 3, m: 3, history: false, low: 0.938, high: 0.985 },
    { name: '2 against 2', n: 2, m: 2, history: false, low: 0.938, high: 0.995 },
    { name: '4 against 1', n: 4, m: 1, history: false, low: 0.938, high: 0.972 },
    { name: '1 against 1 with history', n: 1, m: 1, history: true, low: 0.938, high: 0.972 },
    { name: '3 against 5', n: 3, m: 5, history: false, low: 0.938, high: 0.985 },
  ];
  test.each(cases)('the interval holds the true difference in 95 % of 1,500 drawn sessions, $name (±1.2 %, two standard errors; Welch errs to the safe side with few reps)', ({ n, m, history, low, high }) => {
    const random = seededRandom(100 + n * 10 + m);
    let held = 0;
    const rep = (level: number): RepValue => ({ value: level + 0.08 * random.normal() + 0.04 * random.normal(), unit: 'm/s', sd: 0.04 });
    for (let i = 0; i < 1500; i += 1) {
      const earlier = history ? spreadOverSessions([3, 7].map((level) => Array.from({ length: 5 }, () => rep(level)))) : null;
      const found = difference(
        Array.from({ length: n }, () => rep(4)), Array.from({ length: m }, () => rep(4.1)),
        earlier === null ? higher : { ...higher, history: earlier },
      )!;
      if (found.ci95[0] <= 0.1 && 0.1 <= found.ci95[1]) held += 1;
    }
    expect(held / 1500).toBeGreaterThanOrEqual(low);
    expect(held / 1500).toBeLessThanOrEqual(high);
  });

  test('the reps it asks for settle a difference of that size about four times in five (1,500 drawn sessions, 74–86 %)', () => {
    const before = speeds([4.0, 4.1, 3.9], 0);
    const after = speeds([4.1, 4.2, 4.0], 0);
    const now = difference(before, after, higher)!;
    expect(now.verdict).toBe('no-difference');
    const random = seededRandom(8);
    let settled = 0;
    for (let i = 0; i < 1500; i += 1) {
      const block = (level: number): RepValue[] => speeds(Array.from({ length: 3 + now.moreReps! }, () => level + 0.1 * random.normal()), 0);
      if (difference(block(4), block(4.1), higher)!.verdict === 'faster') settled += 1;
    }
    expect(settled / 1500).toBeGreaterThanOrEqual(0.74);
    expect(settled / 1500).toBeLessThanOrEqual(0.86);
  });

  test('a difference too small for 20 more reps is not chased', () => {
    expect(difference(speeds([4.0, 4.2, 3.8], 0), speeds([4.01, 4.21, 3.81], 0), higher)!.moreReps).toBeNull();
  });

  test('spread over sessions ignores the sessions\' own levels: 1 2 3 and 11 12 13 have SD 1 with 4 degrees of freedom', () => {
    expect(spreadOverSessions([speeds([1, 2, 3], 0), speeds([11, 12, 13], 0), speeds([50], 0)])).toEqual({ sd: 1, degreesOfFreedom: 4 });
    expect(spreadOverSessions([speeds([1]), speeds([2])])).toBeNull();
  });

  test('a measure becomes a rep value with its interval read as ±1.96 standard deviations; an unmeasured one does not', () => {
    expect(repValueOf({ measured: true, value: 4, unit: 'm/s', ci95: [3.804, 4.196], t: null, frame: null, source: 'detected' })).toEqual({ value: 4, unit: 'm/s', sd: expect.closeTo(0.1, 9) });
    expect(repValueOf({ measured: false, why: 'no-scale' })).toBeNull();
    expect(repValueOf(undefined)).toBeNull();
  });
});

describe('two reps over each other', () => {
  const at = (t: number, sd = 0.01): Moment => ({ found: true, t, sd, source: 'detected' });
  const missing: Moment = { found: false, why: 'not-in-view' };
  const first: Moments = { set: at(0.5), firstMove: at(0.6), launch: at(1.2), passe: at(1.1), plant: at(1.5), hands: at(1.8) };
  const second: Moments = { set: missing, firstMove: at(2.7), launch: at(3.2), passe: at(3.12), plant: at(3.45), hands: at(3.7) };

  test('aligned at launch, the second rep lies 2.0 s later and its hands come 0.1 s sooner', () => {
    const found = alignRepetitions(first, second, 'launch');
    expect(found).toMatchObject({ aligned: true, value: { at: 'launch', offsetS: expect.closeTo(2, 12), sdS: expect.closeTo(Math.SQRT2 * 0.01, 12) } });
    if (!found.aligned) return;
    expect(found.value.moments.map((m) => m.id)).toEqual(['firstMove', 'launch', 'passe', 'plant', 'hands']);
    const hands = found.value.moments.find((m) => m.id === 'hands')!;
    expect(hands.laterS).toBeCloseTo(-0.1, 12);
    expect(hands.ci95[1] - hands.laterS).toBeCloseTo(1.96 * 0.02, 12);
  });

  test('without the moment there is no alignment and the reason is handed on', () => {
    expect(alignRepetitions(first, second, 'set')).toEqual({ aligned: false, why: 'not-in-view' });
  });

  test('the second signal is read at the first rep\'s instants; outside its clip there is none', () => {
    const found = alignRepetitions(first, second, 'launch');
    if (!found.aligned) throw new Error('not aligned');
    const times = Float64Array.from({ length: 50 }, (_, i) => 2.5 + i / 30);
    const read = secondAtFirst(found.value, Float64Array.of(0.4, 1, 1.21), times, times.map((t) => t ** 2));
    expect([...read]).toEqual([Number.NaN, expect.closeTo(9, 9), expect.closeTo(3.21 ** 2, 9)]);
  });
});

describe('marks', () => {
  const reps = (values: readonly number[], sd = 0.01) => values.map((value, i) => ({ rep: i + 1, value, unit: 'm' as const, sd }));

  test('steady marks: mean, spread and a next distance that holds 95 %: 3.9 4.0 4.1 → 4.0 ± t(2)·0.1·√(4/3)', () => {
    const found = marks(reps([3.9, 4.0, 4.1]))!;
    expect(found).toMatchObject({ count: 3, mean: expect.closeTo(4, 12), spreadSd: expect.closeTo(0.1, 12), isDrifting: false, perRepCi95: null });
    expect(found.next!.ci95[1] - 4).toBeCloseTo(4.30265273 * 0.1 * Math.sqrt(4 / 3), 6);
  });

  test('marks that move 5 cm a rep: drift found, moved 0.35 m since rep 1, next rep carries on', () => {
    const found = marks(reps([4.0, 4.06, 4.09, 4.15, 4.21, 4.25, 4.29, 4.35]))!;
    expect(found.isDrifting).toBe(true);
    expect(found.perRep).toBeCloseTo(0.05, 2);
    expect([found.moved, found.sinceRep]).toEqual([expect.closeTo(0.35, 1), 1]);
    expect(found.next!.value).toBeCloseTo(4.4, 1);
    expect(found.spreadSd!).toBeLessThan(0.02);
  });

  test('one rep has a place but no spread and no forecast; no rep has nothing; other units are refused', () => {
    expect(marks(reps([4]))).toMatchObject({ count: 1, mean: 4, spreadSd: null, perRep: null, next: null, moved: null });
    expect(marks([])).toBeNull();
    expect(() => marks([{ rep: 1, value: 2, unit: 'leg', sd: 0 }])).toThrow(RangeError);
  });

  test.each([4, 8])('the next rep falls into its interval in 95 percent of 3,000 drawn sessions of %s reps (±1.5 percent)', (count) => {
    const random = seededRandom(40 + count);
    let held = 0;
    for (let i = 0; i < 3000; i += 1) {
      const values = Array.from({ length: count + 1 }, () => 4 + 0.1 * random.normal());
      const { ci95 } = drift(reps(values.slice(0, count), 0))!.next!;
      if (ci95[0] <= values[count]! && values[count]! <= ci95[1]) held += 1;
    }
    expect(Math.abs(held / 3000 - 0.95)).toBeLessThanOrEqual(0.015 + (count === 8 ? 0.01 : 0));
  });

  test('a pass that ends 12 m after the hands on a 16 m floor: mark at 0 misses, mark at −1 fits, in between is too close', () => {
    const held = marks(reps([3.95, 4.05, 4.0, 4.1, 3.9]))!;
    const floor = { edgeAtM: 16, passLengthM: 12, passLengthSdM: 0.1, keepFreeM: 0.2 };
    expect(markAdvice(held, { ...floor, markAtM: 0 })!.verdict).toBe('misses');
    expect(markAdvice(held, { ...floor, markAtM: -1 })!.verdict).toBe('fits');
    expect(markAdvice(held, { ...floor, markAtM: -0.3 })!.verdict).toBe('too-close');
    const advice = markAdvice(held, { ...floor, markAtM: 0 })!;
    const moved = markAdvice(held, { ...floor, markAtM: advice.suggestedMarkAtM - 1e-9 })!;
    expect(moved.verdict).toBe('fits');
    expect(moved.endsCi95[1]).toBeCloseTo(15.8, 6);
    expect(advice.moveByM).toBeCloseTo(advice.suggestedMarkAtM, 12);
    expect(markAdvice(marks(reps([4]))!, { ...floor, markAtM: 0 })).toBeNull();
    expect(() => markAdvice(held, { ...floor, markAtM: 0, keepFreeM: -1 })).toThrow(RangeError);
  });
});
