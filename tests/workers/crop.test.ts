import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cropFromAlignment, cropFromBox, cropToPicture, pictureToCrop } from '../../workers/pose/crop.ts';
import { composeAffine, invertAffine } from '../../workers/pose/picture.ts';
import type { Affine } from '../../workers/pose/picture.ts';

const apply = ([a, b, c, d, e, f]: Affine, x: number, y: number): [number, number] => [a * x + b * y + c, d * x + e * y + f];

describe('crop', () => {
  it('an upright body gives an upright square of 2 × 1.25 times the distance of its two points', () => {
    expect(cropFromAlignment({ x: 100, y: 200 }, { x: 100, y: 120 })).toEqual({ centreX: 100, centreY: 200, sidePx: 200, rotationRad: 0 });
  });

  it('a body leaning right by 90° turns the square by 90° clockwise, an inverted one by 180°', () => {
    expect(cropFromAlignment({ x: 0, y: 0 }, { x: 10, y: 0 })?.rotationRad).toBeCloseTo(Math.PI / 2, 12);
    expect(Math.abs(cropFromAlignment({ x: 0, y: 0 }, { x: 0, y: 10 })?.rotationRad ?? 0)).toBeCloseTo(Math.PI, 12);
  });

  it('the scale point lies on the middle line of the crop, at 0.4 of the side above the centre', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 6.28, noNaN: true }), fc.double({ min: 5, max: 500, noNaN: true }), (angle, radius) => {
      const hip = { x: 300, y: 250 };
      const tip = { x: 300 + radius * Math.cos(angle), y: 250 + radius * Math.sin(angle) };
      const crop = cropFromAlignment(hip, tip);
      if (crop === null) throw new Error('no crop');
      const [x, y] = apply(pictureToCrop(crop), tip.x, tip.y);
      // radius / side = 1 / (2 × 1.25) = 0.4 of 256 pixels above the middle.
      expect(x).toBeCloseTo(128, 6);
      expect(y).toBeCloseTo(128 - 0.4 * 256, 6);
    }));
  });

  it('points that coincide and boxes without size give no crop', () => {
    expect(cropFromAlignment({ x: 5, y: 5 }, { x: 5, y: 5 })).toBeNull();
    expect(cropFromBox({ x: 0, y: 0, width: 0, height: 0 })).toBeNull();
  });

  it('a box 100 × 300 gives a square of 375 around its centre', () => {
    expect(cropFromBox({ x: 50, y: 20, width: 100, height: 300 })).toEqual({ centreX: 100, centreY: 170, sidePx: 375, rotationRad: 0 });
  });

  it('the two maps undo each other, and so does the general inverse', () => {
    fc.assert(fc.property(
      fc.double({ min: -3, max: 3, noNaN: true }), fc.double({ min: 10, max: 2000, noNaN: true }),
      fc.double({ min: -50, max: 300, noNaN: true }), fc.double({ min: -50, max: 300, noNaN: true }),
      (rotationRad, sidePx, x, y) => {
        const crop = { centreX: 640, centreY: 360, sidePx, rotationRad };
        for (const back of [pictureToCrop(crop), invertAffine(cropToPicture(crop))]) {
          const [u, v] = apply(composeAffine(back, cropToPicture(crop)), x, y);
          expect(u).toBeCloseTo(x, 6);
          expect(v).toBeCloseTo(y, 6);
        }
      },
    ));
  });
});
