import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { overridesSchema } from '../../src/athletelog/schema.ts';
import { readBackup } from '../../src/export/index.ts';
import { interiorAngleDeg } from '../../src/geometry/index.ts';
import { exchangeSides } from '../../src/pose/exchange-sides.ts';
import { swapByHand, swapOf, type HandSwap } from '../../src/pose/swap-by-hand.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import type { Overrides, Reading } from '../../src/reading/reading.ts';
import type { MeasureId } from '../../src/shapes/measure.ts';
import { addSwap, dropSwap } from '../../src/views/result/swap-sides.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good'); // Left lead.
const track = truthTrack(truth);
const read = (of: PoseTrack, overrides: Overrides = {}): Reading => readClip({ track: of, clip: { timeBase: { kind: 'known' } } }, overrides);
const plain = read(track);
const timeOf = (reading: Reading, id: keyof Reading['moments']): number => {
  const moment = reading.moments[id];
  if (!moment.found) throw new Error(`${id} was not found`);
  return moment.t;
};
const valueOf = (reading: Reading, id: MeasureId): number => {
  const measure = reading.measures[id];
  if (measure?.measured !== true) throw new Error(`${id} is not measured`);
  return measure.value;
};
const sourceOf = (reading: Reading, id: MeasureId) => {
  const measure = reading.measures[id];
  return measure?.measured === true ? measure.source : null;
};
const said = (reading: Reading, part: HandSwap['part'], fromS: number | null, toS: number | null): HandSwap => {
  const swap = swapOf(reading.track, part, fromS, toS);
  if (swap === null) throw new Error('nothing to swap');
  return swap;
};

describe('left and right told apart by hand', () => {
  test('legs swapped in the whole clip: the other leg leads, every angle of the legs stays within 0.5° and is marked as the user’s; the trunk is not', () => {
    const swapped = read(track, { swaps: [said(plain, 'legs', null, null)] });
    expect(plain.lead.value).toBe('left');
    expect(swapped.lead.value).toBe('right');
    for (const id of ['set.backKnee', 'passe.knee', 'launch.pushKnee', 'plant.frontKnee'] as const) {
      // Near and far leg change places, so that perspective is undone a little otherwise.
      expect(Math.abs(valueOf(swapped, id) - valueOf(plain, id)), id).toBeLessThan(0.5);
      expect(sourceOf(swapped, id)).toBe('user');
    }
    expect(sourceOf(swapped, 'launch.trunkLean')).toBe('detected');
    expect(sourceOf(plain, 'passe.knee')).toBe('detected');
  });

  test('legs swapped around the passé only: the passé knee becomes the truth’s other knee within 3°, the set keeps its figure within 0.01° (the camera is seen anew)', () => {
    const passe = timeOf(plain, 'passe');
    const moments = Object.fromEntries((['set', 'firstMove', 'launch', 'passe', 'plant', 'hands'] as const).map((id) => [id, timeOf(plain, id)]));
    const base: Overrides = { start: 'sprint-lunge', lead: 'left', moments };
    const before = read(track, base);
    const after = read(track, { ...base, swaps: [said(before, 'legs', passe - 0.08, passe + 0.08)] });
    const frame = truth.frames.reduce((best, each) => (Math.abs(each.t - passe) < Math.abs(best.t - passe) ? each : best));
    const at = (name: string) => ({ x: frame.kp2d[name]![0], y: frame.kp2d[name]![1] });
    // The joints of the leg that pushes: smoothing and the local fit round a turn by up to 3°.
    expect(Math.abs(valueOf(after, 'passe.knee') - interiorAngleDeg(at('hipR'), at('kneeR'), at('ankleR'))!)).toBeLessThan(3);
    expect(Math.abs(valueOf(after, 'passe.knee') - valueOf(before, 'passe.knee'))).toBeGreaterThan(20);
    expect(Math.abs(valueOf(after, 'set.backKnee') - valueOf(before, 'set.backKnee'))).toBeLessThan(0.01);
  });

  test('what was said holds when a later run calls the legs the other way round: the same reading to 1e-6', () => {
    const swaps = [said(plain, 'legs', null, null)];
    const now = read(track, { swaps });
    const rerun = read(exchangeSides(track, 'legs', [...track.times.keys()]), { swaps });
    expect(rerun.lead.value).toBe(now.lead.value);
    for (const id of ['set.backKnee', 'passe.knee', 'plant.lungeRatio'] as const) expect(valueOf(rerun, id)).toBeCloseTo(valueOf(now, id), 6);
    // Said once, it is not undone by being applied to a track that already agrees.
    expect(swapByHand(swapByHand(track, swaps), swaps).xy).toEqual(swapByHand(track, swaps).xy);
  });

  test('arms change places; of the legs only the camera seen anew moves a figure, by less than 0.5°', () => {
    const swapped = swapByHand(track, [said(plain, 'arms', null, null)]);
    const legs = read(track, { swaps: [said(plain, 'arms', null, null)] });
    expect(swapped.xy).not.toEqual(track.xy);
    expect(Math.abs(valueOf(legs, 'passe.knee') - valueOf(plain, 'passe.knee'))).toBeLessThan(0.5);
    expect(sourceOf(legs, 'passe.knee')).toBe('detected');
  });

  test('a stretch in which nobody is seen cannot be swapped', () => {
    const empty = { ...track, xy: track.xy.map(() => NaN) };
    expect(swapOf(empty, 'legs', null, null)).toBeNull();
    expect(swapOf(track, 'legs', 100, 101)).toBeNull();
  });
});

describe('what was said of left and right is kept', () => {
  const swap = said(plain, 'legs', 0.2, 0.9);

  test('the same stretch said twice takes itself back; another one is added; a joint placed there goes with its leg', () => {
    const joint = { t: 0.5, landmark: 'leftKnee', x: 1, y: 2 } as const;
    const late = { ...joint, t: 1.5 };
    const once = addSwap({ joints: [joint, late] }, swap);
    expect(once.swaps).toEqual([swap]);
    expect(once.joints?.map(({ landmark }) => landmark)).toEqual(['rightKnee', 'leftKnee']);
    expect(addSwap(once, { ...swap })).toEqual({ joints: [joint, late] });
    expect(addSwap(once, { ...swap, toS: null }).swaps).toHaveLength(2);
    expect(dropSwap(once, swap)).toEqual({ joints: [joint, late] });
  });

  test('the gate of stored reps passes it unchanged, refuses a limb that does not exist, and passes what was stored before there were swaps', () => {
    expect(overridesSchema.parse({ swaps: [swap] })).toEqual({ swaps: [swap] });
    expect(overridesSchema.safeParse({ swaps: [{ ...swap, part: 'ears' }] }).success).toBe(false);
    const frozen = readBackup(readFileSync(new URL('../../fixtures/backups/v1.json', import.meta.url), 'utf8'), 'v1.json');
    expect(frozen.ok).toBe(true);
  });
});
