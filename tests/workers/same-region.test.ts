import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Region } from '../../workers/contract.ts';
import { AgreementWatch, isSamePerson, regionNumbers, sameRegion } from '../../workers/same-region.ts';

const region = (n: number) => ({ centreX: n, centreY: 2 * n, sidePx: 100 + n, rotationRad: n / 10 });
/** Sixteen frames of another run, the first of them off by a hair. */
function next(from: number, settles: number) {
  const frames = Int32Array.from({ length: 16 }, (_, i) => from + i);
  return { frames, regions: Float64Array.from([...frames].flatMap((frame, i) => [...regionNumbers(region(frame + (i < settles ? 0.001 : 0)))])) };
}

describe('where two runs agree', () => {
  it('is the second frame running with exactly the same region, however late the other has settled', () => {
    fc.assert(
      fc.property(fc.nat(14), fc.integer({ min: 1, max: 500 }), (settles, from) => {
        const watch = new AgreementWatch();
        const reached = Array.from({ length: 40 }, (_, i) => from - 10 + i).find((frame) => watch.isReached(next(from, settles), frame, region(frame)));
        expect(reached).toBe(from + settles + 1);
      }),
    );
  });
  it('is nowhere without another run, in a gap, or where the other never settles', () => {
    const watch = new AgreementWatch();
    for (let frame = 0; frame < 40; frame += 1) {
      expect(watch.isReached(null, frame, region(frame))).toBe(false);
      expect(watch.isReached(next(10, 16), frame, region(frame))).toBe(false);
      expect(watch.isReached(next(10, 0), frame, null)).toBe(false);
    }
  });
  it('a region that is not a number is not the same as itself', () => {
    const gap = new Float64Array(4).fill(Number.NaN);
    expect(sameRegion(gap, 0, gap, 0)).toBe(false);
    expect(sameRegion(regionNumbers(region(1)), 0, regionNumbers(region(1)), 0)).toBe(true);
    expect(sameRegion(regionNumbers(region(1)), 0, regionNumbers(region(1)), -1)).toBe(false);
  });
});

it('one person in one frame: middles at most 15 % of the larger side apart, whatever size and turn', () => {
  const at = (centreX: number, centreY: number, sidePx: number): Region => ({ centreX, centreY, sidePx, rotationRad: centreX });
  const same = (other: Region | null): boolean => isSamePerson(at(300, 200, 100), other);
  expect(same(at(309, 212, 80))).toBe(true);
  expect(same(at(309, 213, 80))).toBe(false);
  expect(same(at(309, 213, 110))).toBe(true);
  // Nobody is nobody's athlete; where nobody was followed, whoever is found is.
  expect(same(null)).toBe(false);
  expect(isSamePerson(null, at(300, 200, 100))).toBe(true);
  expect(isSamePerson(null, null)).toBe(true);
});
