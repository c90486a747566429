import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { interiorAngleDeg, interiorAngleSdDeg, leanFromVerticalDeg, thighElevationDeg } from '../../src/geometry/index.ts';
import type { Point } from '../../src/units/point.ts';

const runs = { numRuns: 1000 };
const coordinate = fc.double({ min: -4000, max: 4000, noNaN: true });
const point = fc.record({ x: coordinate, y: coordinate });
const angleDeg = fc.double({ min: -180, max: 180, noNaN: true });
const length = fc.double({ min: 5, max: 2000, noNaN: true });

/** Three points with a joint angle that was put there: middle, first direction, interior angle, two lengths. */
const joint = fc.record({ middle: point, turn: angleDeg, theta: fc.double({ min: 0, max: 180, noNaN: true }), first: length, second: length });
type Joint = typeof joint extends fc.Arbitrary<infer T> ? T : never;

function pointsOf(j: Joint): [Point, Point, Point] {
  const end = (deg: number, r: number): Point => ({
    x: j.middle.x + r * Math.cos((deg * Math.PI) / 180),
    y: j.middle.y + r * Math.sin((deg * Math.PI) / 180),
  });
  return [end(j.turn, j.first), j.middle, end(j.turn + j.theta, j.second)];
}
const angleOf = (points: readonly Point[]): number => interiorAngleDeg(points[0]!, points[1]!, points[2]!) ?? Number.NaN;

describe('F6: geometry on drawn stick figures, 1,000 each', () => {
  // Rounding of a coordinate near 4,000 on a segment of 5 px is 4.5e-13/5 rad = 5e-12°: 1e-9° is 200 times that.
  test('a joint angle that was put there is read within 1e-9°', () => {
    fc.assert(fc.property(joint, (j) => { expect(Math.abs(angleOf(pointsOf(j)) - j.theta)).toBeLessThanOrEqual(1e-9); }), runs);
  });

  test('shift, scale, rotation and mirror leave it unchanged (1e-8°: the moved coordinates are larger); so does swapping the ends', () => {
    fc.assert(fc.property(joint, point, fc.double({ min: 0.1, max: 10, noNaN: true }), angleDeg, (j, shift, scale, turnDeg) => {
      const before = angleOf(pointsOf(j));
      const turn = (turnDeg * Math.PI) / 180;
      const moved = pointsOf(j).map(({ x, y }) => ({
        x: scale * (-x * Math.cos(turn) - y * Math.sin(turn)) + shift.x,
        y: scale * (-x * Math.sin(turn) + y * Math.cos(turn)) + shift.y,
      }));
      expect(Math.abs(angleOf(moved) - before)).toBeLessThanOrEqual(1e-8);
      expect(angleOf(moved.toReversed())).toBeCloseTo(angleOf(moved), 10);
    }), runs);
  });

  test('lean and elevation read the same in a mirrored picture with the travel mirrored', () => {
    fc.assert(fc.property(point, point, (from, to) => {
      const mirror = (q: Point): Point => ({ x: 1920 - q.x, y: q.y });
      fc.pre(Math.hypot(to.x - from.x, to.y - from.y) > 1);
      for (const read of [leanFromVerticalDeg, thighElevationDeg]) {
        const there = read(from, to, 'left-to-right')!;
        const mirrored = read(mirror(from), mirror(to), 'right-to-left')!;
        expect(Math.abs(((there - mirrored + 540) % 360) - 180)).toBeLessThanOrEqual(1e-7);
      }
    }), runs);
  });

  test('lean and elevation of the same segment differ by the right angle between vertical and level', () => {
    fc.assert(fc.property(point, angleDeg, length, (from, deg, r) => {
      const to = { x: from.x + r * Math.cos((deg * Math.PI) / 180), y: from.y - r * Math.sin((deg * Math.PI) / 180) };
      const sum = leanFromVerticalDeg(from, to, 'left-to-right')! + thighElevationDeg(from, to, 'left-to-right')!;
      expect(Math.abs(((sum - 90 + 900) % 360) - 180)).toBeLessThanOrEqual(1e-9);
    }), runs);
  });

  test('the spread of an angle scales with the spread of the points and inversely with the figure', () => {
    fc.assert(fc.property(joint, fc.double({ min: 0.1, max: 5, noNaN: true }), fc.double({ min: 0.2, max: 5, noNaN: true }), (j, sd, scale) => {
      const [a, b, c] = pointsOf(j);
      const one = interiorAngleSdDeg(a, b, c, sd, 2 * sd, sd)!;
      expect(interiorAngleSdDeg(a, b, c, 3 * sd, 6 * sd, 3 * sd)! / one).toBeCloseTo(3, 9);
      const grown = [a, b, c].map((q) => ({ x: b.x + scale * (q.x - b.x), y: b.y + scale * (q.y - b.y) }));
      expect((interiorAngleSdDeg(grown[0]!, grown[1]!, grown[2]!, sd, 2 * sd, sd)! * scale) / one).toBeCloseTo(1, 6);
    }), runs);
  });
});
