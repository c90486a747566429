import { expect, test } from 'vitest';
import { fitHinge } from '../../src/signal/hinge.ts';
import { seeded } from '../support/disturb-track.ts';

// Closed form: a point moves at 3 a second, slows by 4 a second squared, and stops dead at t = 0.4137 s.
const STOP = 0.4137;
const times = Float64Array.from({ length: 24 }, (_, i) => 0.25 + i / 60 + (i % 3) * 0.001);
const path = (rest: number, u: number, w: number): Float64Array => times.map((t) => {
  const s = Math.min(0, t - STOP);
  return rest + u * s + w * s * s;
});
const TRIALS = { from: 0.35, to: 0.5, step: 1 / 240 };

test('a path that stops at 0.4137 s breaks there within 1 ms, on uneven times, and rests where it stopped', () => {
  const hinge = fitHinge(times, [path(10, 3, -4), path(-2, -1, 2)], 0, times.length - 1, TRIALS);
  expect(Math.abs((hinge?.t ?? NaN) - STOP)).toBeLessThan(0.001);
  expect(hinge?.rest[0]).toBeCloseTo(10, 1);
  expect(hinge?.rest[1]).toBeCloseTo(-2, 1);
});

test('noise of 0.01 moves the break by less than a frame of 1/60 s on average over 20 seeds', () => {
  let sum = 0;
  for (let seed = 1; seed <= 20; seed++) {
    const random = seeded(seed);
    const noisy = path(10, 3, -4).map((value) => value + 0.02 * (random() - 0.5) * Math.sqrt(3));
    sum += Math.abs((fitHinge(times, [noisy], 0, times.length - 1, TRIALS)?.t ?? NaN) - STOP);
  }
  expect(sum / 20).toBeLessThan(1 / 60);
});

test('gaps are skipped; with fewer than five samples there is no answer', () => {
  const gappy = path(10, 3, -4);
  gappy[3] = NaN;
  expect(Math.abs((fitHinge(times, [gappy], 0, times.length - 1, TRIALS)?.t ?? NaN) - STOP)).toBeLessThan(0.001);
  expect(fitHinge(times, [gappy], 0, 3, TRIALS)).toBeNull();
});
