import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { topInstant } from '../../src/signal/top-instant.ts';

const UNEVEN_S = 0.0035;
const times = (fps: number): Float64Array => Float64Array.from({ length: fps }, (_, i) => i / fps);
const nearest = (all: Float64Array, t: number): number => all.reduce((best, one) => (Math.abs(one - t) < Math.abs(best - t) ? one : best));

describe('topInstant', () => {
  it('finds the top of any parabola exactly', () => {
    fc.assert(fc.property(
      fc.double({ min: 0.4, max: 0.6, noNaN: true }), fc.double({ min: 1, max: 60, noNaN: true }), fc.constantFrom(60, 120, 240),
      (top, curve, fps) => {
        const all = times(fps);
        expect(topInstant(all, all.map((t) => 3 - curve * (t - top) ** 2), nearest(all, top), 0.06, UNEVEN_S)!.t).toBeCloseTo(top, 9);
      },
    ));
  });

  it('is not early, as a parabola is, where what rose slowly falls fast', () => {
    fc.assert(fc.property(fc.double({ min: 0.45, max: 0.55, noNaN: true }), fc.double({ min: 2, max: 5, noNaN: true }), (top, uneven) => {
      const all = times(60);
      const values = all.map((t) => -20 * (t - top) ** 2 * (1 + uneven * (t - top)));
      const early = (unevenS: number): number => topInstant(all, values, nearest(all, top), 0.06, unevenS)!.t - top;
      // Told that tops are even it takes the parabola.
      expect(early(0)).toBeLessThan(-0.0005 * uneven);
      expect(Math.abs(early(UNEVEN_S))).toBeLessThan(0.35 * Math.abs(early(0)));
    }));
  });

  // At 30 a second three points are to spare: what noise they carry, and so what is stated, is itself unsure.
  it.each([[30, 1.6], [60, 1.3]])('is off by as much as it says when the values are noisy, and by less than a cubic, at %i pictures a second', (fps, most) => {
    let state = 7;
    const random = (): number => (state = (state * 16807) % 2147483647) / 2147483647;
    const normal = (): number => Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random());
    const rms = (numbers: readonly number[]): number => Math.sqrt(numbers.reduce((sum, z) => sum + z * z, 0) / numbers.length);
    const all = times(fps);
    const tries = Array.from({ length: 500 }, () => {
      const top = 0.45 + 0.1 * random();
      const values = all.map((t) => -20 * (t - top) ** 2 + 0.01 * normal());
      const [between, cubic] = [UNEVEN_S, 1].map((unevenS) => topInstant(all, values, nearest(all, top), 0.06, unevenS)!);
      return { z: (between!.t - top) / between!.sd, between: between!.t - top, cubic: cubic!.t - top };
    });
    expect(rms(tries.map(({ z }) => z))).toBeGreaterThan(0.7);
    expect(rms(tries.map(({ z }) => z))).toBeLessThan(most);
    expect(rms(tries.map(({ between }) => between))).toBeLessThan(0.9 * rms(tries.map(({ cubic }) => cubic)));
  });

  it('finds none where values only fall, bend the other way or are missing', () => {
    const all = times(60);
    expect(topInstant(all, all.map((t) => (t - 0.5) ** 2), 0.5, 0.06, UNEVEN_S)).toBeNull();
    expect(topInstant(all, all.map(() => Number.NaN), 0.5, 0.06, UNEVEN_S)).toBeNull();
  });

  it('stays within a frame of where it is asked', () => {
    const all = times(60);
    const found = topInstant(all, all.map((t) => -((t - 0.8) ** 2)), 0.5, 0.06, UNEVEN_S)!;
    expect(found.t).toBeLessThanOrEqual(0.5 + 1 / 60 + 1e-12);
  });
});
