import { describe, expect, test } from 'vitest';
import { interiorAngleDeg, segmentAngleDeg, SEGMENT_MASS } from '../../src/geometry/index.ts';
import {
  DUAL_PASS_CORRECTION, butterworth, crossings, derivative, despike, extrema, fillGaps, localFit, localFitAll, medianFilter, medianOf,
  passCorrection, resample, residualAnalysis, robustSd, runsOf, secondDerivative, smoothUneven, valuesAt, vertexAt, zeroLag,
} from '../../src/signal/index.ts';
import { checkColumn, seededRandom } from '../support/check-table.ts';

const evenTimes = (count: number, hz: number): Float64Array => Float64Array.from({ length: count }, (_, i) => i / hz);
/** Phone-like times: spacing drawn between 0.6 and 1.4 of the nominal one. */
function unevenTimes(count: number, hz: number, seed: number): Float64Array {
  const { uniform } = seededRandom(seed);
  let t = 0.013;
  return Float64Array.from({ length: count }, () => (t += (0.6 + 0.8 * uniform()) / hz));
}
function rms(values: Iterable<number>): number {
  const list = [...values];
  return Math.sqrt(list.reduce((sum, v) => sum + v * v, 0) / list.length);
}
const column = (name: string): Float64Array => checkColumn('winter-gait-excerpt', name);

describe('Butterworth coefficients', () => {
  test.each([
    [60, 6, [0.0674553, 0.1349105, 0.0674553, 1.1429805, -0.4128016]],
    [100, 6, [0.0278598, 0.0557195, 0.0278598, 1.4754804, -0.5869195]],
    [30, 6, [0.2065721, 0.4131442, 0.2065721, 0.3695274, -0.1958157]],
    [120, 8, [0.0335718, 0.0671436, 0.0335718, 1.4189827, -0.5532699]],
  ] as const)('FI-4: one pass at %s Hz cutting at %s Hz (scipy.signal.butter)', (fs, fc, expected) => {
    const c = butterworth(fs, fc);
    [c.a0, c.a1, c.a2, c.b1, c.b2].forEach((v, i) => { expect(Math.abs(v - expected[i]!)).toBeLessThanOrEqual(1e-7); });
  });

  test('FI-3: 240 Hz cutting at 12 Hz is scipy\'s butter(2, 0.1); the gain at 0 Hz is 1 (FI-1)', () => {
    const c = butterworth(240, 12);
    const expected = [0.02008337, 0.04016673, 0.02008337, 1.56101808, -0.64135154];
    [c.a0, c.a1, c.a2, c.b1, c.b2].forEach((v, i) => { expect(Math.abs(v - expected[i]!)).toBeLessThanOrEqual(1e-8); });
    expect((c.a0 + c.a1 + c.a2) / (1 - c.b1 - c.b2)).toBeCloseTo(1, 12);
  });

  test.each([
    [60, 6, [0.0944892, 0.1889784, 0.0944892, 0.9623753, -0.340332]],
    [100, 6, [0.0406153, 0.0812307, 0.0406153, 1.354567, -0.5170283]],
    [30, 6, [0.2645786, 0.5291573, 0.2645786, 0.1156225, -0.1739371]],
    [120, 8, [0.0486089, 0.0972178, 0.0486089, 1.2868117, -0.4812472]],
    [240, 12, [0.0295846, 0.0591692, 0.0295846, 1.4579482, -0.5762865]],
    [105 / 1.501, 5, [0.0546581, 0.1093162, 0.0546581, 1.2385221, -0.4571546]],
  ] as const)('FI-5: corrected for two passes at %s Hz cutting at %s Hz', (fs, fc, expected) => {
    const c = butterworth(fs, fc, DUAL_PASS_CORRECTION);
    [c.a0, c.a1, c.a2, c.b1, c.b2].forEach((v, i) => { expect(Math.abs(v - expected[i]!)).toBeLessThanOrEqual(1e-7); });
  });

  test('FI-2: the correction is 1 for one pass, .80224 for two, .71402 for three', () => {
    expect(Math.abs(passCorrection(1) - 1)).toBeLessThanOrEqual(1e-5);
    expect(Math.abs(passCorrection(2) - 0.80224)).toBeLessThanOrEqual(1e-5);
    expect(Math.abs(passCorrection(3) - 0.71402)).toBeLessThanOrEqual(1e-5);
  });

  test('a cut-off at or above half the sample rate is refused', () => {
    expect(() => butterworth(60, 30)).toThrow(RangeError);
    expect(() => butterworth(60, 0)).toThrow(RangeError);
    expect(() => passCorrection(0)).toThrow(RangeError);
  });
});

/** Amplitude and phase (radians, positive late) of a sine of `hz` in values, by projection on sine and cosine over whole periods. */
function sineIn(times: Float64Array, values: Float64Array, hz: number, from: number, to: number): { gain: number; phase: number } {
  let [s, c, n] = [0, 0, 0];
  times.forEach((t, i) => {
    if (t < from || t >= to - 1e-9) return;
    s += values[i]! * Math.sin(2 * Math.PI * hz * t);
    c += values[i]! * Math.cos(2 * Math.PI * hz * t);
    n += 1;
  });
  return { gain: (2 * Math.hypot(s, c)) / n, phase: Math.atan2(-c, s) };
}

describe('zero lag', () => {
  test.each([[60, 6], [120, 8], [240, 12]])('FI-6: at %s Hz a sine at the cut-off of %s Hz comes out at .7071, without correction it would be .5', (fs, fc) => {
    const times = evenTimes(10 * fs, fs);
    const sine = times.map((t) => Math.sin(2 * Math.PI * fc * t));
    const corrected = sineIn(times, zeroLag(sine, fs, fc), fc, 2, 8);
    expect(Math.abs(corrected.gain - Math.SQRT1_2)).toBeLessThanOrEqual(1e-3);
    // The corner that a caller gets without correction is lower by tan: feed that corner in.
    const lower = (fs / Math.PI) * Math.atan(Math.tan((Math.PI * fc) / fs) * DUAL_PASS_CORRECTION);
    expect(Math.abs(sineIn(times, zeroLag(sine, fs, lower), fc, 2, 8).gain - 0.5)).toBeLessThanOrEqual(1e-3);
  });

  test.each([[60, 6], [60, 10], [240, 12]])('F7: at %s Hz cutting at %s Hz, sines up to half the cut-off move by ≤ 0.05 frame and keep the gain of theory', (fs, fc) => {
    const times = evenTimes(10 * fs, fs);
    for (const share of [0.1, 0.25, 0.4, 0.45, 0.5]) {
      const hz = Math.round(share * fc * 2) / 2;
      const out = sineIn(times, zeroLag(times.map((t) => Math.sin(2 * Math.PI * hz * t)), fs, fc), hz, 2, 8);
      expect(Math.abs(out.phase / (2 * Math.PI * hz)) * fs).toBeLessThanOrEqual(0.05);
      // Two passes of a Butterworth of order 2: 1 / (1 + (ω/ωc)⁴).
      const theory = 1 / (1 + ((DUAL_PASS_CORRECTION * Math.tan((Math.PI * hz) / fs)) / Math.tan((Math.PI * fc) / fs)) ** 4);
      expect(Math.abs(out.gain - theory)).toBeLessThanOrEqual(1e-3);
      if (hz <= 0.45 * fc) expect(out.gain).toBeGreaterThanOrEqual(0.98);
      expect(out.gain).toBeGreaterThanOrEqual(0.974);
    }
  });

  test('constant and straight lines pass unchanged, ends included', () => {
    const line = Float64Array.from({ length: 50 }, (_, i) => 7 - 0.3 * i);
    zeroLag(line, 60, 6).forEach((v, i) => { expect(v).toBeCloseTo(line[i]!, 9); });
    for (const v of zeroLag(Float64Array.of(3, 3, 3, 3), 60, 6)) expect(v).toBeCloseTo(3, 12);
  });

  test('gaps stay gaps and each side is filtered as if the other did not exist', () => {
    const random = seededRandom(3);
    const values = Float64Array.from({ length: 90 }, () => random.normal());
    values.fill(Number.NaN, 40, 45);
    const out = zeroLag(values, 60, 6);
    expect([...out.subarray(40, 45)].every(Number.isNaN)).toBe(true);
    expect([...out.subarray(0, 40)]).toEqual([...zeroLag(values.slice(0, 40), 60, 6)]);
    expect([...out.subarray(45)]).toEqual([...zeroLag(values.slice(45), 60, 6)]);
  });

  test('filtering the reversed values gives the reversed result within 1e-6', () => {
    const random = seededRandom(4);
    const values = Float64Array.from({ length: 80 }, () => random.normal());
    const there = zeroLag(values, 60, 6);
    const back = zeroLag(values.slice().reverse(), 60, 6).reverse();
    there.forEach((v, i) => { expect(Math.abs(v - back[i]!)).toBeLessThanOrEqual(1e-6); });
  });
});

describe('walking trial of Winter (2009), Appendix A, frames 1–60', () => {
  const fs = 105 / 1.501;
  const times = column('frame').map((f) => (f - 1) / fs);
  const raw = ['knee_x', 'knee_y', 'ankle_x', 'ankle_y'].map((name) => column(`raw_${name}_cm`).map((v) => v / 100));
  const published = ['knee_x', 'knee_y', 'ankle_x', 'ankle_y'].map((name) => column(`filt_${name}_m`));
  const legAngle = Float64Array.from({ length: 60 }, (_, i) => {
    // Winter's axes point up; ours down. His leg angle is that of ankle → knee from the forward horizontal.
    const ankle = { x: published[2]![i]!, y: -published[3]![i]! };
    const knee = { x: published[0]![i]!, y: -published[1]![i]! };
    return segmentAngleDeg(ankle, knee, 'left-to-right')!;
  });

  test('WG-1: 106 frames in 1.501 s are 69.95 Hz', () => {
    expect(Math.abs(fs - 69.95)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(column('time_s')[59]! - times[59]!)).toBeLessThanOrEqual(0.001);
  });

  test('WG-2: the leg angle out of the published positions is the published one within .06°', () => {
    const theta = column('leg_theta_deg');
    [39.78, 38.04, 37.0].forEach((published, i) => { expect(legAngle[i]).toBeCloseTo(published, 2); });
    legAngle.forEach((v, i) => { expect(Math.abs(v - theta[i]!)).toBeLessThanOrEqual(0.06); });
  });

  test('WG-3: its rate of change is the published one within .012 rad/s', () => {
    const omega = derivative(times, legAngle.map((v) => (v * Math.PI) / 180));
    const expected = column('leg_omega_rad_s');
    for (let i = 1; i < 59; i += 1) expect(Math.abs(omega[i]! - expected[i]!)).toBeLessThanOrEqual(0.012);
  });

  test('WG-4: the rate of change of the published rate is the published second derivative within .35 rad/s²', () => {
    const alpha = derivative(times, column('leg_omega_rad_s'));
    const expected = column('leg_alpha_rad_s2');
    for (let i = 1; i < 59; i += 1) expect(Math.abs(alpha[i]! - expected[i]!)).toBeLessThanOrEqual(0.35);
  });

  test('WG-5, WG-6: the leg\'s centre of mass and its speed are the published ones within .6 mm and 3.5 mm/s', () => {
    const centreX = published[0]!.map((knee, i) => knee + SEGMENT_MASS.leg.centre * (published[2]![i]! - knee));
    const [x, vx] = [column('leg_com_x_m'), column('leg_com_vx_m_s')];
    const speed = derivative(times, centreX);
    for (let i = 0; i < 60; i += 1) expect(Math.abs(centreX[i]! - x[i]!)).toBeLessThanOrEqual(0.0006);
    for (let i = 1; i < 59; i += 1) expect(Math.abs(speed[i]! - vx[i]!)).toBeLessThanOrEqual(0.0035);
  });

  test('WG-7: the raw positions cut at 5 Hz reproduce the published filtered ones: rms ≤ .06 mm over frames 11–48, no other cut-off does', () => {
    const errorAt = (fc: number): number => rms(raw.flatMap((values, k) => [...zeroLag(values, fs, fc)].map((v, i) => v - published[k]![i]!).slice(10, 48)));
    expect(errorAt(5) * 1000).toBeLessThanOrEqual(0.06);
    expect(errorAt(4.5) * 1000).toBeGreaterThan(0.3);
    expect(errorAt(5.5) * 1000).toBeGreaterThan(0.2);
    expect(rms(raw.flatMap((values, k) => [...values].map((v, i) => v - published[k]![i]!).slice(10, 48))) * 1000).toBeGreaterThan(2);
  });

  test('WG-8: smoothing the same frames on jittered copies of their times stays within .5 mm of the published ones', () => {
    // Drop every seventh frame: the times are then uneven, and the cubic grid has to carry them. Allowed: a fifth of what the filter removes.
    const keep = Array.from({ length: 60 }, (_, i) => i).filter((i) => i % 7 !== 3);
    const errors = raw.flatMap((values, k) => {
      const out = smoothUneven(Float64Array.from(keep, (i) => times[i]!), Float64Array.from(keep, (i) => values[i]!), 5);
      return keep.flatMap((frame, j) => (frame >= 10 && frame < 48 ? [out[j]! - published[k]![frame]!] : []));
    });
    expect(rms(errors) * 1000).toBeLessThanOrEqual(0.5);
  });

  test('WG-9: knee flexion out of the positions cut at 6 Hz: 58.3° in frame 10, 17.2° 20, 1.4° 28, 15.4° 36, 9.3° 50 within .3°', () => {
    const smooth = ['hip_x', 'hip_y', 'knee_x', 'knee_y', 'ankle_x', 'ankle_y'].map((name) => zeroLag(column(`raw_${name}_cm`), fs, 6));
    for (const [frame, flexion] of [[10, 58.3], [20, 17.2], [28, 1.4], [36, 15.4], [50, 9.3]] as const) {
      const [hx, hy, kx, ky, ax, ay] = smooth.map((values) => values[frame - 1]!) as [number, number, number, number, number, number];
      const interior = interiorAngleDeg({ x: hx, y: -hy }, { x: kx, y: -ky }, { x: ax, y: -ay })!;
      expect(Math.abs(180 - interior - flexion)).toBeLessThanOrEqual(0.3);
    }
  });

  test('WG-11: thigh and shank markers keep their distance: .314 ± .003 m and .417 ± .011 m', () => {
    const apart = (a: string, b: string): Float64Array => column(`raw_${a}_x_cm`).map((v, i) =>
      Math.hypot(v - column(`raw_${b}_x_cm`)[i]!, column(`raw_${a}_y_cm`)[i]! - column(`raw_${b}_y_cm`)[i]!) / 100);
    const mean = (values: Float64Array): number => values.reduce((s, v) => s + v, 0) / values.length;
    expect(Math.abs(mean(apart('hip', 'knee')) - 0.314)).toBeLessThanOrEqual(0.005);
    expect(Math.abs(mean(apart('knee', 'ankle')) - 0.417)).toBeLessThanOrEqual(0.013);
  });
});

describe('uneven times', () => {
  test('F7: a sine at 0.4 of the cut-off keeps its gain within 2 % and its place within 0.05 frame on times that jitter by 40 %', () => {
    const times = unevenTimes(600, 60, 21);
    const hz = 2.4;
    const out = smoothUneven(times, times.map((t) => Math.sin(2 * Math.PI * hz * t)), 6);
    const fitted = fitSine(times, out, hz, 1, 9);
    expect(Math.abs(fitted.gain - 1)).toBeLessThanOrEqual(0.02);
    expect(Math.abs(fitted.phase / (2 * Math.PI * hz)) * 60).toBeLessThanOrEqual(0.05);
  });

  /** Least squares of s·sin + c·cos, for times that are not even. */
  function fitSine(times: Float64Array, values: Float64Array, hz: number, from: number, to: number): { gain: number; phase: number } {
    let [ss, sc, cc, sv, cv] = [0, 0, 0, 0, 0];
    times.forEach((t, i) => {
      if (t < from || t > to) return;
      const [s, c] = [Math.sin(2 * Math.PI * hz * t), Math.cos(2 * Math.PI * hz * t)];
      ss += s * s; sc += s * c; cc += c * c; sv += s * values[i]!; cv += c * values[i]!;
    });
    const det = ss * cc - sc * sc;
    const [a, b] = [(sv * cc - cv * sc) / det, (cv * ss - sv * sc) / det];
    return { gain: Math.hypot(a, b), phase: Math.atan2(-b, a) };
  }

  test('derivatives of t² are exact to 1e-6 on uneven times, ends included; of t³ they are not, by about h²', () => {
    const times = unevenTimes(80, 60, 5);
    const squares = times.map((t) => 3 * t * t - 2 * t + 1);
    derivative(times, squares).forEach((v, i) => { expect(Math.abs(v - (6 * times[i]! - 2))).toBeLessThanOrEqual(1e-6); });
    secondDerivative(times, squares).forEach((v) => { expect(Math.abs(v - 6)).toBeLessThanOrEqual(1e-6); });
    const cubic = derivative(times, times.map((t) => t ** 3));
    expect(Math.abs(cubic[40]! - 3 * times[40]! ** 2)).toBeGreaterThan(1e-6);
  });

  test('derivatives do not cross a gap; a stretch of two has a slope and no curvature, of one neither', () => {
    const times = Float64Array.of(0, 1, 2, 3, 4, 5, 6);
    const values = Float64Array.of(5, Number.NaN, 1, 4, Number.NaN, 7, Number.NaN);
    expect([...derivative(times, values)]).toEqual([Number.NaN, Number.NaN, 3, 3, Number.NaN, Number.NaN, Number.NaN]);
    expect([...secondDerivative(times, values)].every(Number.isNaN)).toBe(true);
  });

  test('resampling gives a cubic exactly (1e-9) on the grid, ends on the last grid point and leaves gaps open', () => {
    const times = unevenTimes(40, 30, 9);
    const cubic = (t: number): number => 2 * t ** 3 - t + 4;
    const grid = resample(times, times.map(cubic), 100);
    expect(grid.times[1]! - grid.times[0]!).toBeCloseTo(0.01, 12);
    expect(grid.times[grid.times.length - 1]! + 0.01).toBeGreaterThan(times[39]!);
    grid.times.forEach((t, i) => { expect(Math.abs(grid.values[i]! - cubic(t))).toBeLessThanOrEqual(1e-9); });
    const holed = times.map(cubic);
    holed.fill(Number.NaN, 20, 23);
    const open = resample(times, holed, 100);
    open.times.forEach((t, i) => { expect(Number.isNaN(open.values[i])).toBe(t > times[19]! + 1e-9 && t < times[23]! - 1e-9); });
    expect([...valuesAt(times, holed, Float64Array.of(-1, 99))]).toEqual([Number.NaN, Number.NaN]);
  });

  test('smoothing leaves gaps open, keeps straight lines and passes clips too slow for the cut-off unchanged', () => {
    const times = unevenTimes(60, 30, 14);
    const line = times.map((t) => 5 - 40 * t);
    line.fill(Number.NaN, 25, 28);
    const out = smoothUneven(times, line, 5);
    out.forEach((v, i) => { expect(Number.isNaN(line[i]) ? Number.isNaN(v) : Math.abs(v - line[i]!) < 1e-9).toBe(true); });
    expect([...smoothUneven(times, line, 18)]).toEqual([...line]);
  });
});

describe('filling gaps', () => {
  const times = evenTimes(12, 10);
  const square = times.map((t) => t * t);

  test('a gap of 0.3 s is filled and one of 0.4 s is not when at most 0.3 s may be filled; ends stay open', () => {
    const values = square.slice();
    for (const i of [0, 3, 4, 7, 8, 9]) values[i] = Number.NaN;
    const filled = fillGaps(times, values, 0.3 + 1e-9, 'linear');
    expect(filled[3]).toBeCloseTo(0.04 + (0.25 - 0.04) / 3, 12);
    expect([0, 7, 8, 9].map((i) => Number.isNaN(filled[i]))).toEqual([true, true, true, true]);
    expect(values[3]).toBeNaN();
  });

  test('the cubic fills a cubic exactly (1e-12), and falls back to a line where one side has a single value', () => {
    const cubic = times.map((t) => 1 + 2 * t - 3 * t ** 2 + t ** 3);
    const holed = cubic.slice();
    holed[5] = Number.NaN;
    holed[6] = Number.NaN;
    const filled = fillGaps(times, holed, 0.5, 'cubic');
    expect(Math.abs(filled[5]! - cubic[5]!)).toBeLessThanOrEqual(1e-12);
    const lone = Float64Array.of(0, Number.NaN, 4, 9);
    expect(fillGaps(times.slice(0, 4), lone, 0.5, 'cubic')[1]).toBe(2);
  });
});

describe('spikes', () => {
  const times = unevenTimes(90, 60, 30);
  function noisy(seed: number): Float64Array {
    const random = seededRandom(seed);
    return times.map((t) => 300 + 200 * t + 30 * Math.sin(2 * Math.PI * 2 * t) + 1.5 * random.normal());
  }

  test('planted spikes of 25 px in noise of 1.5 px, alone and two in a row, are all found and nothing else over 20 seeds beyond 1 in 500', () => {
    let wrong = 0;
    for (let seed = 1; seed <= 20; seed += 1) {
      const values = noisy(seed);
      for (const i of [12, 40, 41, 77]) values[i] = values[i]! + 25;
      const { removed, values: kept } = despike(times, values, { halfWidthS: 0.08 });
      expect(removed).toEqual(expect.arrayContaining([12, 40, 41, 77]));
      expect(removed.every((i) => Number.isNaN(kept[i]))).toBe(true);
      wrong += removed.length - 4;
    }
    expect(wrong).toBeLessThanOrEqual((20 * 90) / 500);
  });

  test('a smooth fast movement has no spikes, a residual below the floor is none either, gaps stay', () => {
    const smooth = times.map((t) => 100 * Math.sin(2 * Math.PI * 3 * t));
    smooth[30] = Number.NaN;
    expect(despike(times, smooth, { halfWidthS: 0.08, floor: 1 }).removed).toEqual([]);
    const values = noisy(2);
    values[50] = values[50]! + 25;
    expect(despike(times, values, { halfWidthS: 0.08, floor: 60 }).removed).toEqual([]);
    expect(despike(times, values, { halfWidthS: 0.08, floor: 10 }).removed).toEqual([50]);
  });
});

describe('local fit', () => {
  test('value, first and second derivative of a cubic are exact to 1e-6 on uneven times, whatever the weights, also at the ends', () => {
    const times = unevenTimes(60, 60, 8);
    const random = seededRandom(8);
    const weights = times.map(() => 0.1 + random.uniform());
    const values = times.map((t) => 4 - t + 6 * t ** 2 - 5 * t ** 3);
    for (const at of [times[0]!, times[20]!, 0.5, times[59]!]) {
      const fit = localFit(times, values, weights, at, 0.12, 3)!;
      expect(Math.abs(fit.value - (4 - at + 6 * at ** 2 - 5 * at ** 3))).toBeLessThanOrEqual(1e-6);
      expect(Math.abs(fit.first - (-1 + 12 * at - 15 * at ** 2))).toBeLessThanOrEqual(1e-6);
      expect(Math.abs(fit.second - (12 - 30 * at))).toBeLessThanOrEqual(1e-6);
    }
  });

  test('on even times order 0 with equal neighbours is the kernel mean; order 2 over 5 points has the closed-form noise gain', () => {
    // Kernel 1 − u² at u = −2/3, −1/3, 0, 1/3, 2/3 → weights 5/9, 8/9, 1, 8/9, 5/9.
    const times = Float64Array.of(-2, -1, 0, 1, 2);
    const w = [5 / 9, 8 / 9, 1, 8 / 9, 5 / 9];
    const values = Float64Array.of(3, -1, 4, 1, -5);
    const mean = values.reduce((s, v, i) => s + v * w[i]!, 0) / w.reduce((s, v) => s + v, 0);
    expect(localFit(times, values, null, 0, 3, 0)!.value).toBeCloseTo(mean, 12);
    // Slope of order 1 about 0: Σ w t x / Σ w t²; its noise √(Σ w² t²) / Σ w t².
    const line = localFit(times, values, null, 0, 3, 1)!;
    const swtt = w.reduce((s, v, i) => s + v * times[i]! ** 2, 0);
    expect(line.first).toBeCloseTo(w.reduce((s, v, i) => s + v * times[i]! * values[i]!, 0) / swtt, 12);
    expect(line.firstNoise).toBeCloseTo(Math.sqrt(w.reduce((s, v, i) => s + v * v * times[i]! ** 2, 0)) / swtt, 12);
  });

  test('the stated noise of value, slope and curvature is the scatter over 4,000 noisy copies within 5 %', () => {
    const times = unevenTimes(30, 60, 12);
    const random = seededRandom(12);
    const found: [number[], number[], number[]] = [[], [], []];
    const at = times[13]! + 0.004;
    for (let i = 0; i < 4000; i += 1) {
      const fit = localFit(times, times.map(() => random.normal()), null, at, 0.1, 2)!;
      found[0].push(fit.value);
      found[1].push(fit.first);
      found[2].push(fit.second);
    }
    const fit = localFit(times, times, null, at, 0.1, 2)!;
    expect(Math.abs(rms(found[0]) / fit.valueNoise - 1)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(rms(found[1]) / fit.firstNoise - 1)).toBeLessThanOrEqual(0.05);
    expect(Math.abs(rms(found[2]) / fit.secondNoise - 1)).toBeLessThanOrEqual(0.05);
  });

  test('a point of weight 0 and a gap have no say; too few points or all far to one side give no answer', () => {
    const times = evenTimes(20, 60);
    const values = times.map((t) => 2 * t);
    const weights = times.map(() => 1);
    values[9] = 1000;
    weights[9] = 0;
    values[11] = Number.NaN;
    expect(localFit(times, values, weights, times[10]!, 0.1, 2)!.first).toBeCloseTo(2, 9);
    expect(localFit(times, values, null, times[10]!, 0.02, 3)).toBeNull();
    expect(localFit(times, values, weights, times[19]! + 0.05, 0.1, 1)).toBeNull();
    const all = localFitAll(times, values, weights, 0.1, 2);
    expect(Number.isNaN(all.value[11])).toBe(true);
    expect(all.first[10]).toBeCloseTo(2, 9);
  });

  test('the mean knee curve of 39 boys (fda gait) has its peak of 73.9° at 0.725 of the cycle', () => {
    const times = checkColumn('gait-mean-curve', 'time');
    const knee = checkColumn('gait-mean-curve', 'knee_mean');
    const peak = extrema(times, knee).filter((e) => e.kind === 'peak').toSorted((a, b) => b.value - a.value)[0]!;
    expect(Math.abs(peak.value - 73.92)).toBeLessThanOrEqual(1);
    expect(Math.abs(peak.t - 0.725)).toBeLessThanOrEqual(0.025);
  });
});

describe('crossings and extrema between frames', () => {
  test('a line crosses its level exactly between frames, in both directions; a touch is no crossing; nothing crosses a gap', () => {
    const times = Float64Array.of(0, 1, 2.5, 3, 4, 5, 6);
    expect(crossings(times, Float64Array.of(-1, 1, 4, 0, -4, -1, -2), 0)).toEqual([{ t: 0.5, rising: true }, { t: 3, rising: false }]);
    expect(crossings(times, Float64Array.of(1, 0, 1, 2, 0, 0, 3), 0)).toEqual([]);
    expect(crossings(times, Float64Array.of(-1, Number.NaN, 1, 1, 1, 1, 1), 0)).toEqual([]);
  });

  test('a crossing never lies past its frame by rounding (found by seed 909262492)', () => {
    const [crossing] = crossings(Float64Array.of(0.008, 0.06663897338989543), Float64Array.of(-6.463845958756657e-43, 0), -5e-324);
    expect(crossing!.t).toBeLessThanOrEqual(0.06663897338989543);
  });

  test('the top of a parabola is found exactly on uneven times', () => {
    const times = unevenTimes(20, 30, 6);
    const top = times[9]! + 0.4 * (times[10]! - times[9]!);
    const values = times.map((t) => 7 - 50 * (t - top) ** 2);
    const [peak, ...rest] = extrema(times, values);
    expect(rest).toEqual([]);
    expect(peak).toMatchObject({ kind: 'peak', t: expect.closeTo(top, 9), value: expect.closeTo(7, 9) });
  });

  test('a sine of 2 Hz at 30 fps has its peaks within 0.02 frame and 0.1 % of height', () => {
    const times = evenTimes(90, 30).map((t) => t + 0.0071);
    const peaks = extrema(times, times.map((t) => Math.sin(2 * Math.PI * 2 * t))).filter((e) => e.kind === 'peak');
    expect(peaks.length).toBe(6);
    peaks.forEach((peak, k) => {
      expect(Math.abs(peak.t - (0.125 + 0.5 * k)) * 30).toBeLessThanOrEqual(0.02);
      expect(Math.abs(peak.value - 1)).toBeLessThanOrEqual(1e-3);
    });
  });

  test('a flat top counts once, ends and edges of gaps do not count, and a frame without neighbours stands for itself', () => {
    const times = Float64Array.of(0, 1, 2, 3, 4, 5, 6);
    expect(extrema(times, Float64Array.of(0, 1, 1, 1, 0, Number.NaN, 3)).map((e) => [e.kind, e.index])).toEqual([['peak', 2]]);
    expect(extrema(times, Float64Array.of(3, 2, 1, 0, -1, -2, -3))).toEqual([]);
    expect(vertexAt(times, times, 0)).toEqual({ t: 0, value: 0 });
  });
});

describe('medians', () => {
  test('a lone outlier does not pass a median of three; gaps stay and are not counted; width must be odd', () => {
    expect([...medianFilter(Float64Array.of(1, 9, 2, Number.NaN, 4), 3)]).toEqual([5, 2, 5.5, Number.NaN, 4]);
    expect(() => medianFilter(Float64Array.of(1), 2)).toThrow(RangeError);
  });

  test('median and robust standard deviation: 1 2 3 4 100 have 3 and 1.4826', () => {
    expect(medianOf([1, 2, 3, 4, 100])).toBe(3);
    expect(robustSd([1, 2, 3, 4, 100])).toBeCloseTo(1.4826, 12);
    expect(medianOf([])).toBeNaN();
    expect(runsOf(Float64Array.of(Number.NaN, 1, 2, Number.NaN, 3))).toEqual([{ from: 1, to: 3 }, { from: 4, to: 5 }]);
  });
});

describe('residual analysis', () => {
  test.each([[60, 0.5], [60, 2], [120, 1], [240, 1]])('at %s Hz with noise %s the cut-off costs at most 35 percent more error than the best one, over 10 seeds; the noise is known within 15 percent', (fs, sd) => {
    let [chosen, best, noise] = [0, 0, 0];
    for (let seed = 1; seed <= 10; seed += 1) {
      const random = seededRandom(seed);
      const times = evenTimes(4 * fs, fs);
      const truth = times.map((t) => 40 * Math.sin(2 * Math.PI * 0.7 * t) + 12 * Math.sin(2 * Math.PI * 1.9 * t + 1) + 4 * Math.sin(2 * Math.PI * 3.1 * t + 2));
      const values = truth.map((v) => v + sd * random.normal());
      const result = residualAnalysis(values, fs)!;
      const errorAt = (fc: number): number => rms([...zeroLag(values, fs, fc)].map((v, i) => v - truth[i]!));
      chosen += errorAt(result.cutoffHz);
      best += Math.min(...Array.from({ length: 40 }, (_, k) => errorAt(0.5 + (k * 0.2 * fs) / 40)));
      noise += result.noiseSd;
    }
    expect(chosen / best).toBeLessThanOrEqual(1.35);
    expect(Math.abs(noise / 10 / sd - 1)).toBeLessThanOrEqual(0.15);
  });

  test('FI-8 in kind: the second difference of a noisy known movement is many times closer to its true acceleration after the filter', () => {
    const random = seededRandom(77);
    const times = evenTimes(142, 49.75);
    const w = 2 * Math.PI * 1.1;
    const values = times.map((t) => Math.sin(w * t) + 0.01 * random.normal());
    const truth = times.map((t) => -w * w * Math.sin(w * t));
    const error = (v: Float64Array): number => rms([...secondDerivative(times, v)].map((a, i) => a - truth[i]!).slice(10, 132));
    expect(error(values)).toBeGreaterThan(5 * error(zeroLag(values, 49.75, 6)));
  });

  test('fewer than 30 values in a row have no residual analysis', () => {
    expect(residualAnalysis(new Float64Array(29), 60)).toBeNull();
  });
});
