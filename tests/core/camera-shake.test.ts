import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readClip } from '../../src/reading/read-clip.ts';
import { asShaken, steadyTrack } from '../../src/pose/steady-track.ts';
import { backgroundMotion, motionAt } from '../../src/clip/background-motion.ts';
import { followedBy, inverse, moved, STILL, type Motion } from '../../src/geometry/motion.ts';
import type { PictureBox } from '../../workers/pose/crop.ts';
import { BackgroundWatch } from '../../workers/watch-background.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

/** A wall of blots, moved by (x, y) pixels and turned about the middle; closed form, so that the motion is exact. */
function wall(x: number, y: number, { turnRad = 0, athleteAt = null, dots = [] }: { readonly turnRad?: number; readonly athleteAt?: number | null; readonly dots?: readonly number[] } = {}): Picture {
  const [width, height] = [640, 360];
  const bytes = new Uint8Array(width * height);
  const [cos, sin] = [Math.cos(turnRad), Math.sin(turnRad)];
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const [p, q] = [column + 0.5 - 320 - x, row + 0.5 - 180 - y];
      const [u, v] = [cos * p + sin * q, cos * q - sin * p];
      const isAthlete = athleteAt !== null && Math.abs(column - athleteAt) < 40 && Math.abs(row - 200) < 100;
      const isDot = dots.some((at) => Math.hypot(column - at, row - 60 - (at % 240)) < 12);
      bytes[row * width + column] = isAthlete ? 250 - (row % 40) * 5 : isDot ? 20 : 128 + 50 * Math.sin(u / 5) * Math.cos(v / 6) + 40 * Math.sin(u / 13 + v / 9);
    }
  }
  return { format: 'I420', codedWidth: width, codedHeight: height, bytes, layout: [{ offset: 0, stride: width }], matrix: 'bt709', range: 'full', rotationDeg: 0, widthPx: width, heightPx: height };
}

/** The motion of the last of some pictures against the first. */
function motionOver(pictures: readonly Picture[], athlete: (i: number) => PictureBox | null = () => null): Motion | null {
  const watch = new BackgroundWatch();
  return pictures.map((picture, i) => watch.motionIn(picture, athlete(i))).at(-1) ?? null;
}

/** How far a place of the first picture is carried from where the truth carries it, pixels. */
function missPx(motion: Motion, [x, y, turnRad]: readonly [number, number, number], place: { readonly x: number; readonly y: number }): number {
  const [u, v] = [place.x - 320, place.y - 180];
  const seen = moved(place, motion);
  return Math.hypot(seen.x - (320 + x + Math.cos(turnRad) * u - Math.sin(turnRad) * v), seen.y - (180 + y + Math.sin(turnRad) * u + Math.cos(turnRad) * v));
}

describe('motion of the still background', () => {
  const offset = fc.double({ min: -3.5, max: 3.5, noNaN: true });

  test('any shift to 3.5 pixels with a turn to 0.3° is read within 0.1 pixels at every corner of the picture (8-bit luma)', () => {
    fc.assert(fc.property(offset, offset, fc.double({ min: -0.005, max: 0.005, noNaN: true }), (x, y, turnRad) => {
      const motion = motionOver([wall(0, 0), wall(x, y, { turnRad })])!;
      for (const place of [{ x: 0, y: 0 }, { x: 640, y: 0 }, { x: 0, y: 360 }, { x: 640, y: 360 }]) expect(missPx(motion, [x, y, turnRad], place)).toBeLessThan(0.1);
    }), { numRuns: 15 });
  });
  test('errors do not add up: after 60 pictures on a winding way the place is read within 0.1 pixels', () => {
    const way = (i: number): readonly [number, number, number] => [8 * Math.sin(i / 5), 6 * Math.sin(i / 7), 0.004 * Math.sin(i / 9)];
    const motion = motionOver(Array.from({ length: 60 }, (_, i) => wall(way(i)[0], way(i)[1], { turnRad: way(i)[2] })))!;
    expect(missPx(motion, way(59), { x: 500, y: 300 })).toBeLessThan(0.1);
  });
  test('a camera that follows the athlete for 200 pixels is followed within 1 pixel, new corners taken on the way', () => {
    const motion = motionOver(Array.from({ length: 101 }, (_, i) => wall(-2 * i, 0)))!;
    expect(missPx(motion, [-200, 0, 0], { x: 320, y: 180 })).toBeLessThan(1);
  });
  test('an athlete who crosses before it, and things that move by themselves, do not move it (0.1 pixels)', () => {
    const pictures = Array.from({ length: 30 }, (_, i) => wall(i / 20, 0, { athleteAt: 150 + 10 * i, dots: [40 + 4 * i, 300 - 3 * i, 520 + 2 * i] }));
    const motion = motionOver(pictures, (i) => ({ x: 110 + 10 * i, y: 100, width: 80, height: 200 }))!;
    expect(missPx(motion, [29 / 20, 0, 0], { x: 320, y: 180 })).toBeLessThan(0.1);
  });
  test('a picture turned by its file is read as it is shown', () => {
    const turned = (x: number, y: number): Picture => ({ ...wall(x, y), rotationDeg: 90, widthPx: 360, heightPx: 640 });
    // Turned clockwise, what moves to the right on the sensor moves down on the screen.
    const motion = motionOver([turned(0, 0), turned(3, 0)])!;
    expect(motion.x).toBeCloseTo(0, 1);
    expect(motion.y).toBeCloseTo(3, 1);
  });
  test('a bare wall tells nothing, nor does one with stripes alone', () => {
    const painted = (paint: (row: number) => number): Picture => ({ ...wall(0, 0), bytes: Uint8Array.from({ length: 640 * 360 }, (_, k) => paint(Math.floor(k / 640))) });
    expect(motionOver([painted(() => 128), painted(() => 128)])).toBeNull();
    const stripes = painted((row) => 128 + 60 * Math.sin(row / 6));
    expect(motionOver([stripes, stripes])).toBeNull();
  });
});

describe('steps from frame to frame, put together', () => {
  const picture = { widthPx: 640, heightPx: 360 };

  test('the steps between any motions give these motions back, at every frame', () => {
    const motion = fc.record({ x: fc.double({ min: -50, max: 50, noNaN: true }), y: fc.double({ min: -50, max: 50, noNaN: true }), turnRad: fc.double({ min: -0.1, max: 0.1, noNaN: true }) });
    fc.assert(fc.property(fc.array(motion, { minLength: 1, maxLength: 12 }), (later) => {
      const all = [STILL, ...later];
      const steps = all.flatMap((one, i) => { const { x, y, turnRad } = i === 0 ? STILL : followedBy(inverse(all[i - 1]!), one); return [x, y, turnRad]; });
      const background = backgroundMotion(steps, Float64Array.from(all, (_, i) => i / 60), picture)!;
      all.forEach((one, i) => {
        const [seen, meant] = [moved({ x: 100, y: 50 }, motionAt(background, i, picture)), moved({ x: 100, y: 50 }, one)];
        expect(Math.hypot(seen.x - meant.x, seen.y - meant.y)).toBeLessThan(1e-3);
      });
    }));
  });
  test('frames in which it was not found are bridged evenly; where these are most of the time, over more than 0.1 s each, nothing is said', () => {
    const unknown = [NaN, NaN, NaN];
    const times = Float64Array.of(0, 0.02, 0.04, 0.06, 0.08);
    const background = backgroundMotion([0, 0, 0, ...unknown, ...unknown, 6, 3, 0, 2, 0, 0], times, picture)!;
    expect([...background.xPx]).toEqual([0, 2, 4, 6, 8]);
    expect([...background.yPx]).toEqual([0, 1, 2, 3, 3]);
    expect(backgroundMotion([0, 0, 0, ...unknown, ...unknown, 6, 3, 0, 2, 0, 0], times.map((t) => 3 * t), picture)).toBeNull();
    expect(backgroundMotion([...unknown, ...unknown], times.slice(0, 2), picture)).toBeNull();
  });
});

describe('a shaken clip', () => {
  const truth = readTruthFile('sprint-lunge-good');
  const track = truthTrack(truth);
  const known = { timeBase: { kind: 'known' } } as const;
  const background = {
    xPx: Float32Array.from(track.times, (t) => 20 * Math.sin(9 * t)),
    yPx: Float32Array.from(track.times, (t) => 12 * Math.sin(7 * t)),
    turnRad: Float32Array.from(track.times, (t) => 0.01 * Math.sin(8 * t)),
  };
  const shaken = asShaken(track, background);

  test('with the background known every measure is that of the still clip within 0.2 % of its value and 0.02 of its unit (32-bit positions)', () => {
    const calm = readClip({ track, clip: known });
    const steadied = readClip({ track: shaken, clip: known, quality: { background } });
    let compared = 0;
    for (const [id, measure] of Object.entries(calm.measures)) {
      const other = steadied.measures[id as keyof typeof steadied.measures];
      expect(other?.measured).toBe(measure.measured);
      if (!measure.measured || !other?.measured) continue;
      expect(Math.abs(other.value - measure.value)).toBeLessThan(0.02 + 0.002 * Math.abs(measure.value));
      compared += 1;
    }
    expect(compared).toBeGreaterThan(8);
  });
  test('the drawn track stays on the shaken picture', () => {
    const shown = readClip({ track: shaken, clip: known, quality: { background } }).track;
    const calm = readClip({ track: truthTrack(truth), clip: known }).track;
    const at = (30 * 33 + 24) * 2;
    const there = moved({ x: calm.xy[at]!, y: calm.xy[at + 1]! }, motionAt(background, 30, track));
    expect(shown.xy[at]).toBeCloseTo(there.x, 1);
    expect(shown.xy[at + 1]).toBeCloseTo(there.y, 1);
  });
  test('a background that moved by less than 2 pixels is left alone; one of another length, or without its turn, too', () => {
    const little = { xPx: background.xPx.map((x) => x / 20), yPx: background.yPx.map(() => 0), turnRad: background.turnRad };
    // What engines before 0.6.0 stored is not believed.
    expect(steadyTrack(track, { xPx: background.xPx, yPx: background.yPx }).farthestPx).toBe(0);
    expect(steadyTrack(track, little)).toMatchObject({ track, farthestPx: 0 });
    expect(steadyTrack(track, { xPx: new Float32Array(3).fill(50), yPx: new Float32Array(3), turnRad: new Float32Array(3) }).farthestPx).toBe(0);
  });
});
