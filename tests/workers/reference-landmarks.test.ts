import { describe, expect, it } from 'vitest';
import { referenceLandmarks } from '../../tools/bench/reference.ts';
import reference from '../../workers/reference-landmarks.json';
import { distanceFromReference, SELF_TEST_PX } from '../../workers/reference-picture.ts';

describe('the stored landmarks of the self-test', () => {
  it('are those of the model today, within a tenth of a pixel', async () => {
    const now = await referenceLandmarks('lite');
    expect(now.crop).toEqual(reference.crop);
    expect(now.landmarks).toHaveLength(66);
    now.landmarks.forEach((value, i) => {
      expect(Math.abs(value - (reference.landmarks.lite[i] ?? Number.NaN))).toBeLessThan(0.1);
    });
  });
  it('a backend that is off by 3 px in one landmark, or gives no number, fails; one off by 1 px passes', () => {
    const moved = (by: number): number => {
      const xy = Float32Array.from(reference.landmarks.full);
      xy[50] = (xy[50] ?? 0) + by;
      return distanceFromReference('full', xy);
    };
    expect(moved(0)).toBeLessThanOrEqual(SELF_TEST_PX);
    expect(moved(1)).toBeLessThanOrEqual(SELF_TEST_PX);
    expect(moved(3)).toBeGreaterThan(SELF_TEST_PX);
    expect(moved(Number.NaN) <= SELF_TEST_PX).toBe(false);
  });
});
