import { describe, expect, test } from 'vitest';
import { placeContact } from '../../src/phases/place-contact.ts';
import { refineInstant } from '../../src/signal/refine-instant.ts';
import type { Path } from '../../src/pose/body-track.ts';
import type { ShapeFamily } from '../../src/signal/shape-family.ts';
import { seeded } from '../support/disturb-track.ts';
import { channels, FAMILY, KNOTS, STOP, stopping, uneven } from '../support/stopping-family.ts';

const gaussian = (seed: number): (() => number) => {
  const random = seeded(seed);
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
};
const offS = (place: { readonly t: number } | null): number => (place?.t ?? NaN) - STOP;

describe('the instant as one more coefficient of the family', () => {
  test('a member 1.6 deviations off the mean, anywhere in the picture, first seen up to 8 ms off, stops within 1 ms of where it does, on uneven times', () => {
    for (const off of [-0.008, -0.004, 0.003, 0.008]) {
      expect(Math.abs(offS(refineInstant(FAMILY, uneven, channels(stopping(2.8, 3.2), stopping(3, -1), 0.002), { t: STOP + off, sd: 0.008 })))).toBeLessThan(0.001);
    }
  });

  test('with errors as stated, quick and lasting, 95 % intervals hold the truth in 90 to 99 % of 300 draws', () => {
    const gauss = gaussian(11);
    const sd = 0.03;
    let inside = 0;
    for (let draw = 0; draw < 300; draw++) {
      const disturbed = (values: Float64Array): Float64Array => {
        const lasting = 0.7 * sd * gauss();
        const drift = 0.4 * sd * gauss();
        return values.map((value, i) => value + lasting + drift * ((uneven[i]! - STOP) / 0.085) + 0.6 * sd * gauss());
      };
      const place = refineInstant(FAMILY, uneven, channels(disturbed(stopping(2 + 0.5 * gauss(), 1)), disturbed(stopping(3, 0)), sd), { t: STOP + 0.004 * gauss(), sd: 0.004 });
      if (place !== null && Math.abs(offS(place)) < 1.96 * place.sd) inside += 1;
    }
    expect(inside).toBeGreaterThan(270);
    expect(inside).toBeLessThan(298);
  });

  test('a sample that slipped by 20 deviations moves the instant by less than 2 ms', () => {
    const x = stopping(2.2, 0);
    x[23] = x[23]! + 20 * 0.01;
    expect(Math.abs(offS(refineInstant(FAMILY, uneven, channels(x, stopping(3, 0), 0.01), { t: STOP, sd: 0.004 })))).toBeLessThan(0.002);
  });

  test('gaps are left out, and fewer than two frames on a side say nothing', () => {
    const gap = stopping(2.2, 0).map((value, i) => (i === 24 ? NaN : value));
    expect(Math.abs(offS(refineInstant(FAMILY, uneven, channels(gap, stopping(3, 0), 0.002), { t: STOP, sd: 0.004 })))).toBeLessThan(0.002);
    const late = uneven.filter((t) => t > STOP - 0.01);
    expect(refineInstant(FAMILY, late, channels(stopping(2, 0, late), stopping(3, 0, late), 0.002), { t: STOP, sd: 0.004 })).toBeNull();
  });
});

test('a point on its average way in, whose variation falls at the stop, stops on average within 2.8 ms of where it does over ten phases of the frames; the likeliest instant alone is 3.1 ms off', () => {
  const varied: ShapeFamily = { ...FAMILY, modes: [], leftSd: [...KNOTS, ...KNOTS].map((t) => (t < 0 ? 0.05 : 0.002)) };
  const offs = Array.from({ length: 10 }, (_, phase) => {
    const times = Float64Array.from({ length: 60 }, (_, i) => (i + phase / 10) / 60);
    const path: Path = { x: stopping(2, 5, times), y: stopping(3, 7, times), sd: times.map(() => 0.01), score: times.map(() => 1), isPlaced: () => false };
    return Math.abs(offS(placeContact(varied, times, [path], STOP + 0.006, 1)));
  });
  expect(offs.reduce((sum, off) => sum + off, 0) / offs.length).toBeLessThan(0.0028);
});
