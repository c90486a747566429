import { describe, expect, test } from 'vitest';
import { filmedAt, timeWords } from '../../src/views/result/about-measuring.tsx';

const fall = (slowedBy: number, lo: number, hi: number) => ({ slowedBy, ci95: [lo, hi] as const });

describe('what is said of a clip’s time', () => {
  test.each([
    // Shown at 30 a second: 120 and 240 are 4 and 8 times slower.
    [fall(3.7, 2.8, 4.9), 30, 120], [fall(7.2, 5.4, 9.6), 30, 240], [fall(2.9, 1.9, 4.4), 30, 60], [fall(1.1, 0.8, 1.5), 30, null], [null, 30, null],
    // Between two rates, neither within reach.
    [fall(2.8, 2.5, 3.1), 30, null],
    [fall(4.2, 3.2, 5.5), 60, 240],
  ] as const)('a fall of %j shown at %d a second speaks for %s', (seen, fps, rate) => {
    expect(filmedAt({ timeBasis: 'none', fall: seen }, fps)).toBe(rate);
  });
  test('once it is said, or the file or the fall settles it, nothing is proposed', () => {
    for (const timeBasis of ['stated', 'file', 'fall', 'frame-rate'] as const) expect(filmedAt({ timeBasis, fall: fall(4, 3, 5) }, 30)).toBeNull();
  });
  test('without a word on the time, times wait; a slow fall says how slow', () => {
    expect(timeWords({ timeBase: { kind: 'assumed' }, timeBasis: 'none', fall: null })).toContain('wait until you say');
    expect(timeWords({ timeBase: { kind: 'assumed' }, timeBasis: 'none', fall: fall(3.7, 2.8, 4.9) })).toContain('slowed about 4 times');
    expect(timeWords({ timeBase: { kind: 'known' }, timeBasis: 'frame-rate', fall: null })).toContain('Taken as real time');
  });
});
