import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crossings, derivative, despike, extrema, fillGaps, localFit, medianFilter, resample, secondDerivative, smoothUneven, zeroLag } from '../../src/signal/index.ts';

const runs = { numRuns: 300 };

/** Times with spacings of 8 to 60 ms, values within ±1000, and a hole in some places. */
const track = fc.array(fc.record({
  spacing: fc.double({ min: 0.008, max: 0.06, noNaN: true }),
  value: fc.double({ min: -1000, max: 1000, noNaN: true }),
  isGap: fc.integer({ min: 0, max: 6 }).map((n) => n === 0),
}), { minLength: 1, maxLength: 60 }).map((rows) => {
  let t = 0;
  return {
    times: Float64Array.from(rows, (row) => (t += row.spacing)),
    values: Float64Array.from(rows, (row) => (row.isGap ? Number.NaN : row.value)),
  };
});
const gapsOf = (values: Float64Array): boolean[] => Array.from(values, Number.isNaN);

describe('F7: on drawn tracks with uneven times and gaps', () => {
  test('smoothing opens and closes no gap and never returns anything infinite', () => {
    fc.assert(fc.property(track, fc.double({ min: 2, max: 12, noNaN: true }), ({ times, values }, cutoffHz) => {
      for (const out of [smoothUneven(times, values, cutoffHz), zeroLag(values, 60, cutoffHz), medianFilter(values, 5)]) {
        expect(gapsOf(out)).toEqual(gapsOf(values));
        expect(out.some((v) => v === Infinity || v === -Infinity)).toBe(false);
      }
    }), runs);
  });

  test('smoothing is linear: of a sum it is the sum (1e-6 of values within 3,000)', () => {
    fc.assert(fc.property(track, fc.double({ min: -2, max: 2, noNaN: true }), ({ times, values }, factor) => {
      const other = values.map((v, i) => v * Math.sin(i));
      const both = smoothUneven(times, values.map((v, i) => v + factor * other[i]!), 6);
      const [a, b] = [smoothUneven(times, values, 6), smoothUneven(times, other, 6)];
      both.forEach((v, i) => { expect(Number.isNaN(v) || Math.abs(v - a[i]! - factor * b[i]!) <= 1e-6).toBe(true); });
    }), runs);
  });

  test('later times and a raised level change nothing but the times and the level', () => {
    fc.assert(fc.property(track, ({ times, values }) => {
      const later = times.map((t) => t + 3);
      const raised = values.map((v) => v + 50);
      const [before, after] = [smoothUneven(times, values, 6), smoothUneven(later, raised, 6)];
      after.forEach((v, i) => { expect(Number.isNaN(v) || Math.abs(v - 50 - before[i]!) <= 1e-5).toBe(true); });
      const [slopes, laterSlopes] = [derivative(times, values), derivative(later, raised)];
      laterSlopes.forEach((v, i) => { expect(Number.isNaN(v) || Math.abs(v - slopes[i]!) <= 1e-6 * (1 + Math.abs(v))).toBe(true); });
    }), runs);
  });

  test('a length that is a whole number of spacings but for rounding keeps its grid when it starts later (found by seed 1194861574)', () => {
    for (let longer = 2; longer <= 10; longer += 1) {
      const times = Float64Array.from({ length: 6 }, (_, i) => (i + 1 + (i > 3 ? longer / 2 : 0)) / 60);
      const values = Float64Array.of(0, 0, 0, 1000, 0, 0);
      const before = smoothUneven(times, values, 6);
      smoothUneven(times.map((t) => t + 3), values, 6).forEach((v, i) => { expect(Math.abs(v - before[i]!)).toBeLessThanOrEqual(1e-5); });
    }
  });

  test('derivatives of any parabola are exact to 1e-6 wherever three values stand in a row', () => {
    const c = fc.double({ min: -20, max: 20, noNaN: true });
    fc.assert(fc.property(track, c, c, ({ times, values }, a, b) => {
      const parabola = values.map((v, i) => (Number.isNaN(v) ? v : a * times[i]! ** 2 + b * times[i]!));
      const second = secondDerivative(times, parabola);
      derivative(times, parabola).forEach((v, i) => {
        if (Number.isNaN(second[i])) return;
        expect(Math.abs(v - 2 * a * times[i]! - b)).toBeLessThanOrEqual(1e-6);
        expect(Math.abs(second[i]! - 2 * a)).toBeLessThanOrEqual(1e-6);
      });
    }), runs);
  });

  test('filling touches gaps only, and never a gap longer than allowed', () => {
    fc.assert(fc.property(track, fc.double({ min: 0, max: 0.3, noNaN: true }), fc.constantFrom('linear' as const, 'cubic' as const), ({ times, values }, maxGapS, method) => {
      const out = fillGaps(times, values, maxGapS, method);
      out.forEach((v, i) => {
        if (!Number.isNaN(values[i])) expect(v).toBe(values[i]);
        if (Number.isNaN(values[i]) && !Number.isNaN(v)) {
          const left = values.subarray(0, i).findLastIndex((w) => !Number.isNaN(w));
          const right = values.findIndex((w, j) => j > i && !Number.isNaN(w));
          expect(times[right]! - times[left]!).toBeLessThanOrEqual(maxGapS);
        }
      });
    }), runs);
  });

  test('despike only makes gaps, where it says so', () => {
    fc.assert(fc.property(track, ({ times, values }) => {
      const { values: out, removed } = despike(times, values, { halfWidthS: 0.15 });
      out.forEach((v, i) => { expect(removed.includes(i) ? Number.isNaN(v) && !Number.isNaN(values[i]) : Object.is(v, values[i])).toBe(true); });
    }), { numRuns: 100 });
  });

  test('resampled values lie on the grid, inside the clip', () => {
    fc.assert(fc.property(track, fc.double({ min: 20, max: 300, noNaN: true }), ({ times, values }, hz) => {
      const grid = resample(times, values, hz);
      grid.times.forEach((t, i) => { expect(t).toBeCloseTo(times[0]! + i / hz, 9); });
      expect(grid.times[grid.times.length - 1]!).toBeLessThanOrEqual(times[times.length - 1]! + 1e-6 / hz + 1e-12);
    }), runs);
  });

  test('a local fit of order k leaves polynomials of order k as they are: value within 1e-6 wherever there is an answer', () => {
    fc.assert(fc.property(track, fc.integer({ min: 0, max: 4 }), fc.double({ min: 0, max: 1, noNaN: true }), ({ times, values }, order, share) => {
      const at = times[0]! + share * (times[times.length - 1]! - times[0]!);
      const poly = values.map((v, i) => (Number.isNaN(v) ? v : 10 * (times[i]! - at + 0.3) ** order));
      const fit = localFit(times, poly, null, at, 0.2, order);
      if (fit !== null) expect(Math.abs(fit.value - 10 * 0.3 ** order)).toBeLessThanOrEqual(1e-6 * Math.max(1, fit.valueNoise));
    }), runs);
  });

  test('crossings alternate between gaps and lie between their frames; extrema lie between their neighbours', () => {
    fc.assert(fc.property(track, fc.double({ min: -500, max: 500, noNaN: true }), ({ times, values }, level) => {
      for (const { t } of crossings(times, values, level)) expect(t >= times[0]! && t <= times[times.length - 1]!).toBe(true);
      for (const e of extrema(times, values)) {
        expect(e.t >= times[e.index - 1]! && e.t <= times[e.index + 1]!).toBe(true);
        expect(e.kind === 'peak' ? e.value >= values[e.index]! - 1e-9 : e.value <= values[e.index]! + 1e-9).toBe(true);
      }
    }), runs);
  });
});
