import { describe, expect, it } from 'vitest';
import { findPasse } from '../../src/phases/passe.ts';
import type { BodyTrack } from '../../src/pose/body-track.ts';

const LEG_PX = 100;
const times = Float64Array.from({ length: 60 }, (_, i) => i / 60);
/** A hip that stays in place and a knee that lies `rise` leg lengths above it, y downward. */
const bodyOf = (rise: (t: number) => number): BodyTrack => (
  { times, left: { hip: { y: times.map(() => 0) }, knee: { y: times.map((t) => -LEG_PX * rise(t)) } } } as unknown as BodyTrack);

describe('the passé', () => {
  it('is found within a millisecond where the knee falls faster than it rose', () => {
    for (const top of [0.493, 0.5, 0.507]) {
      const { moment, tops } = findPasse(bodyOf((t) => -20 * (t - top) ** 2 * (1 + 4 * (t - top))), 'left', 0.3, 0.7, LEG_PX);
      // A parabola alone comes 2.7 ms early and more.
      expect(moment.found && Math.abs(moment.t - top)).toBeLessThan(0.001);
      expect(tops?.others).toEqual([]);
    }
  });

  it('of two tops as high as each other but for noise the other one is kept, one clearly lower is not', () => {
    const twoTops = (lower: number): BodyTrack => bodyOf((t) => Math.max(-20 * (t - 0.35) ** 2 - lower, -20 * (t - 0.7) ** 2));
    const near = findPasse(twoTops(0.01), 'left', 0.2, 0.85, LEG_PX);
    expect(near.moment.found && near.moment.t).toBeCloseTo(0.7, 2);
    expect(near.tops?.others).toHaveLength(1);
    expect(near.tops?.others[0]?.t).toBeCloseTo(0.35, 2);
    expect(near.tops?.others[0]?.share).toBeLessThan(1);
    // Either may be the one: two instants 0.35 s apart, the other half as likely or more, deviate by 0.1 s and more.
    const alone = findPasse(twoTops(0.06), 'left', 0.2, 0.85, LEG_PX);
    expect(near.moment.found && near.moment.sd).toBeGreaterThan(0.1);
    expect(near.tops?.ownSd).toBeLessThan(0.02);
    expect(alone.tops?.others).toEqual([]);
    expect(alone.moment.found && alone.moment.sd).toBe(alone.tops?.ownSd);
  });

  it('is not found where the leg is not seen', () => {
    expect(findPasse(bodyOf(() => Number.NaN), 'left', 0.3, 0.7, LEG_PX)).toEqual({ moment: { found: false, why: 'moment-not-found' }, tops: null });
  });
});
