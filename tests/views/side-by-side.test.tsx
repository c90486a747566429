// @vitest-environment jsdom
import { afterEach, describe, expect, it } from 'vitest';
import { alignRepetitions } from '../../src/compare/index.ts';
import { MEASURE_NAMES } from '../../src/cues/index.ts';
import type { Reading } from '../../src/reading/reading.ts';
import { buildScene } from '../../src/overlay/scene.ts';
import { layScene } from '../../src/views/compare/place-scene.ts';
import { SideBySide } from '../../src/views/compare/side-by-side.tsx';
import { commonTimes, sideMeasures, stepTo } from '../../src/views/compare/side-model.ts';
import { mount, type Mounted } from '../support/mount.tsx';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const sprint = readTruthFile('sprint-lunge-good');
const hop = readTruthFile('hop-from-passe-low-passe');
const first = truthReading(truthAnalysis(sprint, 'a.mp4'), sprint);
const second = truthReading(truthAnalysis(hop, 'b.mp4'), hop);

/** The same rep, started later in its clip: every frame and every moment by so many seconds. */
const later = (reading: Reading, byS: number): Reading => ({
  ...reading,
  track: { ...reading.track, times: reading.track.times.map((t) => t + byS) },
  moments: Object.fromEntries(Object.entries(reading.moments).map(([id, moment]) => [id, moment.found ? { ...moment, t: moment.t + byS } : moment])) as unknown as Reading['moments'],
});
const alignedAt = (a: Reading, b: Reading) => {
  const found = alignRepetitions(a.moments, b.moments, 'launch');
  if (!found.aligned) throw new Error('not aligned');
  return found.value;
};
const timeOf = (reading: Reading) => (reading.moments.launch.found ? reading.moments.launch.t : NaN);

describe('two reps in one time', () => {
  it('a rep and itself filmed 0.4 s later share every frame: one step moves both by one frame', () => {
    const shifted = later(first, 0.4);
    const times = commonTimes(first, shifted, timeOf(first), alignedAt(first, shifted));
    const own = commonTimes(first, first, timeOf(first), alignedAt(first, first));
    expect(times).toHaveLength(own.length);
    // The clip has 60 frames a second.
    const spacings = times.slice(1).map((t, i) => t - times[i]!);
    for (const spacing of spacings) expect(spacing).toBeCloseTo(1 / 60, 3);
  });

  it('a clip of 60 frames a second beside one of 30: every step shows the first one frame on, and the ends of the longer one stay reachable', () => {
    const halved: Reading = {
      ...first,
      track: { ...first.track, times: first.track.times.filter((_t, i) => i % 2 === 0).map((t) => t + 0.004) },
      moments: { ...first.moments, set: { found: true, t: 0.2, sd: 0.01, source: 'detected' } },
    };
    const times = commonTimes(first, halved, timeOf(first), alignedAt(first, first));
    const own = commonTimes(first, first, timeOf(first), alignedAt(first, first));
    expect(times.filter((t) => t >= own[0]!)).toEqual(own);
    // The second rep's set is 0.25 s before the first's, which lies at 0.45 s: its frames, 1/30 s apart, come before.
    const before = times.filter((t) => t < own[0]!);
    expect(before.length).toBeGreaterThan(5);
    for (const [i, t] of before.slice(1).entries()) expect(t - before[i]!).toBeCloseTo(1 / 30, 3);
  });

  it('steps go one on from the frame that is shown, also from a moment between two frames, and hold at the ends', () => {
    const times = [-0.02, 0, 0.01, 0.02];
    expect(stepTo(times, 0, 1)).toBe(0.01);
    // At 0.008 the frame of 0.01 is shown: a step to 0.01 would move nothing.
    expect(stepTo(times, 0.008, 1)).toBe(0.02);
    expect(stepTo(times, 0.008, -1)).toBe(0);
    expect(stepTo(times, 0.003, -1)).toBe(-0.02);
    expect(stepTo([], 0.5, 1)).toBe(0.5);
    expect(stepTo(times, 0.02, 1)).toBe(0.02);
    expect(stepTo(times, -0.02, -1)).toBe(-0.02);
  });

  it('a rep differs from itself in nothing; clear differences come before those that do not show', () => {
    expect(sideMeasures(first, first).every((each) => each.difference.value === 0 && each.difference.verdict === 'no-difference')).toBe(true);
    const verdicts = sideMeasures(first, second).map((each) => each.difference.verdict !== 'no-difference');
    expect(verdicts.length).toBeGreaterThan(3);
    expect(verdicts).toEqual(verdicts.toSorted((a, b) => Number(b) - Number(a)));
  });

  it('laying scales lengths, puts the chosen point where it belongs, and mirrors about it', () => {
    const scene = buildScene(first, timeOf(first), 'launch')!;
    const lay = { scale: 0.5, fromX: 400, toX: 100, fromY: 585, toY: 300, isMirrored: false };
    const [plain, turned] = [layScene(scene, lay), layScene(scene, { ...lay, isMirrored: true })];
    expect(plain.legLengthPx).toBeCloseTo(scene.legLengthPx / 2, 9);
    scene.bones.forEach((bone, i) => {
      const [a, b] = [plain.bones[i]!, turned.bones[i]!];
      expect(a.from.x).toBeCloseTo(100 + (bone.from.x - 400) / 2, 6);
      expect(a.from.x - 100).toBeCloseTo(100 - b.from.x, 6);
      expect(a.from.y).toBeCloseTo(300 + (bone.from.y - 585) / 2, 6);
      expect(Math.hypot(b.to.x - b.from.x, b.to.y - b.from.y)).toBeCloseTo(Math.hypot(bone.to.x - bone.from.x, bone.to.y - bone.from.y) / 2, 6);
    });
    expect(turned.arcs.map((arc) => arc.deg)).toEqual(scene.arcs.map((arc) => arc.deg));
  });
});

describe('Side by side', () => {
  let shown: Mounted;
  afterEach(async () => { await shown.unmount(); });
  const sides = (a: Reading, b: Reading) => <SideBySide first={{ title: 'Rep 1', reading: a, clipUrl: null }} second={{ title: 'Rep 2', reading: b, clipUrl: null }} />;
  const frames = () => [...shown.page.querySelectorAll('figcaption')].map((caption) => Number(/frame (\d+) of/.exec(caption.textContent)?.[1]));

  it('one step moves both reps by one frame, forward and back, by button and by key', async () => {
    shown = await mount(sides(first, later(first, 0.4)));
    const [a, b] = frames();
    await shown.click(shown.control('One frame on, both'));
    expect(frames()).toEqual([a! + 1, b! + 1]);
    await shown.press(shown.control('Scrub both'), 'ArrowLeft');
    await shown.press(shown.control('Scrub both'), 'ArrowLeft');
    expect(frames()).toEqual([a! - 1, b! - 1]);
    // Truth: launch at 1.0022 s of a clip of 60 frames a second, so one frame on and two back is the frame at 59/60 s.
    expect(shown.control('Scrub both').getAttribute('aria-valuetext')).toBe(`${(timeOf(first) - 59 / 60).toFixed(3)} s before launch`);
  });

  it('in step at the lunge both show their lunge', async () => {
    shown = await mount(sides(first, second));
    await shown.click(shown.control('In step at lunge'));
    const nearest = (reading: Reading) => {
      const plant = reading.moments.plant;
      if (!plant.found) return NaN;
      return [...reading.track.times].reduce((best, t, i, all) => (Math.abs(t - plant.t) < Math.abs(all[best]! - plant.t) ? i : best), 0) + 1;
    };
    expect(frames()).toEqual([nearest(first), nearest(second)]);
    expect(shown.control('Scrub both').getAttribute('aria-valuetext')).toBe('at lunge');
  });

  it('says that the same rep twice shows no difference, and names the clearest one otherwise', async () => {
    shown = await mount(sides(first, first));
    expect(shown.part('What differs').textContent).toContain('No difference that these two clips can show.');
    await shown.show(<div key="b">{sides(first, second)}</div>);
    const clearest = sideMeasures(first, second)[0]!;
    expect(shown.part('What differs').textContent).toContain(MEASURE_NAMES[clearest.id]);
    // Only what differs is in sight; the rest is there, folded away.
    const folded = shown.page.querySelector('details');
    const differing = sideMeasures(first, second).filter((each) => each.difference.verdict !== 'no-difference');
    expect(shown.part('What differs, clearest first').querySelectorAll('tbody tr')).toHaveLength(differing.length);
    expect(folded?.querySelector('summary')?.textContent).toBe(`No difference shown: ${sideMeasures(first, second).length - differing.length} measures`);
    expect(folded?.open).toBe(false);
    expect(await shown.violations()).toEqual([]);
  });

  it('a measure in the list shows both at its moment and is pointed out', async () => {
    shown = await mount(sides(first, first));
    await shown.click(shown.control(MEASURE_NAMES['plant.lungeRatio']));
    const plant = first.moments.plant.found ? first.moments.plant.t : NaN;
    expect(shown.control('Scrub both').getAttribute('aria-valuetext')).toBe(`${(plant - timeOf(first)).toFixed(3)} s after launch`);
    expect(shown.control(MEASURE_NAMES['plant.lungeRatio']).getAttribute('aria-pressed')).toBe('true');
  });

  it('over each other is one stage', async () => {
    shown = await mount(sides(first, second));
    await shown.click(shown.control('Over each other'));
    expect(shown.page.querySelectorAll('figure')).toHaveLength(1);
    expect(await shown.violations()).toEqual([]);
  });

  it('reps without a common moment say which one is missing', async () => {
    const lost: Reading = { ...second, moments: Object.fromEntries(Object.keys(second.moments).map((id) => [id, { found: false, why: 'moment-not-found' }])) as unknown as Reading['moments'] };
    shown = await mount(sides(first, lost));
    expect(shown.page.textContent).toContain('place the moment by hand');
  });
});
