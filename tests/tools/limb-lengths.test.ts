import { describe, expect, test } from 'vitest';
import { checkTable } from '../support/check-table.ts';
import { withNoise } from '../support/disturb-track.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';
import { limbLengths, THIGH_TO_SHANK } from '../../tools/bench/limb-lengths.ts';

const truth = readTruthFile('two-step-run-good') as ReturnType<typeof readTruthFile> & { readonly person: { readonly thigh_m: number; readonly shank_m: number } };

describe('bones on a track', () => {
  test('exact joints of a body filmed side-on: shanks keep their length within 3 % (perspective), thigh over shank is the truth’s within 4 %', () => {
    for (const leg of limbLengths(truthTrack(truth))) {
      expect(leg.frames).toBe(truth.frames.length);
      expect(leg.shankSpread).toBeLessThan(0.03);
      expect(Math.abs(leg.thighToShank / (truth.person.thigh_m / truth.person.shank_m) - 1)).toBeLessThan(0.04);
    }
  });
  test('noise of 10 px on both ends of a shank of about 140 px shows as a spread of about 10 px · √2 / 140 px', () => {
    for (const leg of limbLengths(withNoise(truthTrack(truth), 10, 5))) {
      expect(leg.shankSpread).toBeGreaterThan(0.06);
      expect(leg.shankSpread).toBeLessThan(0.16);
    }
  });
  test('the expected ratios are those of the tables', () => {
    const fraction = new Map(checkTable('drillis-contini-fractions').map((row) => [row['quantity'], Number(row['fraction_of_stature'])]));
    expect(THIGH_TO_SHANK.drillisContini).toBeCloseTo(fraction.get('thigh')! / fraction.get('shank')!, 6);
  });
});
