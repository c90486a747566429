import { describe, expect, test } from 'vitest';
import { placeFamily } from '../../src/signal/shape-family.ts';
import { frameSpacing } from '../../src/signal/frame-spacing.ts';
import { seeded } from '../support/disturb-track.ts';
import { channels, FAMILY, STOP, stopping, uneven } from '../support/stopping-family.ts';

describe('the instant of a movement out of the family of such movements', () => {
  test('a member 1.6 deviations off the mean, anywhere in the picture, stops within 2 ms of where it does (trials lie 3 ms apart), on uneven times', () => {
    const place = placeFamily(FAMILY, uneven, channels(stopping(2.8, 3.2), stopping(3, -1), 0.002), 0.4, 0.05);
    expect(Math.abs((place?.t ?? NaN) - STOP)).toBeLessThan(0.002);
    expect(place?.misfit).toBeLessThan(1);
  });

  test('a first guess 45 ms off finds the same instant within 3 ms, the step of the trials', () => {
    const from = (near: number): number => placeFamily(FAMILY, uneven, channels(stopping(2.8, 3.2), stopping(3, -1), 0.002), near, 0.05)?.t ?? NaN;
    expect(Math.abs(from(STOP - 0.045) - from(STOP))).toBeLessThan(0.003);
    expect(Math.abs(from(STOP + 0.045) - from(STOP))).toBeLessThan(0.003);
  });

  test('with errors as stated, quick and lasting, 95 % intervals hold the truth in 90 to 99 % of 300 draws', () => {
    const random = seeded(11);
    const gauss = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
    const sd = 0.03;
    let inside = 0;
    for (let draw = 0; draw < 300; draw++) {
      const disturbed = (values: Float64Array): Float64Array => {
        const lasting = 0.7 * sd * gauss();
        const drift = 0.4 * sd * gauss();
        return values.map((value, i) => value + lasting + drift * ((uneven[i]! - STOP) / 0.085) + 0.6 * sd * gauss());
      };
      const place = placeFamily(FAMILY, uneven, channels(disturbed(stopping(2 + 0.5 * gauss(), 1)), disturbed(stopping(3, 0)), sd), STOP + 0.02 * gauss(), 0.05);
      if (place !== null && Math.abs(place.t - STOP) < 1.96 * place.sd) inside += 1;
    }
    expect(inside).toBeGreaterThan(270);
    expect(inside).toBeLessThan(298);
  });

  test('a sample that slipped by 20 deviations moves the instant by less than 2 ms', () => {
    const x = stopping(2.2, 0);
    x[23] = x[23]! + 20 * 0.01;
    const place = placeFamily(FAMILY, uneven, channels(x, stopping(3, 0), 0.01), STOP, 0.05);
    expect(Math.abs((place?.t ?? NaN) - STOP)).toBeLessThan(0.002);
  });

  test('gaps are left out, and fewer than two frames on a side say nothing', () => {
    const gap = stopping(2.2, 0).map((value, i) => (i === 24 ? NaN : value));
    expect(Math.abs((placeFamily(FAMILY, uneven, channels(gap, stopping(3, 0), 0.002), STOP, 0.05)?.t ?? NaN) - STOP)).toBeLessThan(0.002);
    const late = uneven.filter((t) => t > STOP - 0.01);
    expect(placeFamily(FAMILY, late, channels(stopping(2, 0, late), stopping(3, 0, late), 0.002), STOP, 0.05)).toBeNull();
  });

  test('channels of another number than the family has throw RangeError', () => {
    expect(() => placeFamily(FAMILY, uneven, channels(stopping(2, 0), stopping(3, 0), 0.01).slice(1), STOP, 0.05)).toThrow(RangeError);
  });
});

test('where frames lie 1/60 s apart in a clip of 1/15 s, the spacing there is 1/60 s', () => {
  const times = Float64Array.from([...Array(20).keys()].map((i) => i / 15).concat([...Array(12).keys()].map((i) => 20 / 15 + i / 60)));
  expect(frameSpacing(times)).toBeCloseTo(1 / 15, 9);
  expect(frameSpacing(times, 20 / 15 + 6 / 60)).toBeCloseTo(1 / 60, 9);
});
