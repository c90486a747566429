import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readClip } from '../../src/reading/read-clip.ts';
import { asShaken, steadyTrack } from '../../src/pose/steady-track.ts';
import { GRID_COLUMNS, GRID_ROWS, sampleGrid, shiftBetween } from '../../workers/background-shift.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

/** A wall of smooth blots, moved by (x, y) pixels; closed form, so that the shift is exact. */
function wall(x: number, y: number, athleteAt: number | null = null): Picture {
  const [width, height] = [640, 360];
  const bytes = new Uint8Array(width * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const [u, v] = [column - x, row - y];
      const isAthlete = athleteAt !== null && Math.abs(column - athleteAt) < 40 && Math.abs(row - 200) < 100;
      bytes[row * width + column] = isAthlete ? 250 - (row % 40) * 5 : 128 + 50 * Math.sin(u / 17) * Math.cos(v / 23) + 40 * Math.sin(u / 41 + v / 29);
    }
  }
  return { format: 'I420', codedWidth: width, codedHeight: height, bytes, layout: [{ offset: 0, stride: width }], matrix: 'bt709', range: 'full', rotationDeg: 0, widthPx: width, heightPx: height };
}
const none = (): boolean => false;
const cellPx = 640 / GRID_COLUMNS;
const still = sampleGrid(wall(0, 0));

describe('movement of the still background', () => {
  test('any shift to 6 pixels is read within 0.15 pixels (8-bit luma, cells of 6.7 pixels)', () => {
    fc.assert(fc.property(fc.double({ min: -6, max: 6, noNaN: true }), fc.double({ min: -6, max: 6, noNaN: true }), (x, y) => {
      const shift = shiftBetween(still, sampleGrid(wall(x, y)), none)!;
      expect(Math.hypot(shift.x * cellPx - x, shift.y * cellPx - y)).toBeLessThan(0.15);
    }), { numRuns: 25 });
  });
  test('an athlete who crosses under a mask does not move it (0.1 pixels)', () => {
    const masked = (column: number): boolean => column * cellPx > 200 && column * cellPx < 420;
    const shift = shiftBetween(sampleGrid(wall(0, 0, 280)), sampleGrid(wall(0, 0, 320)), masked)!;
    expect(Math.hypot(shift.x, shift.y) * cellPx).toBeLessThan(0.1);
  });
  test('a bare wall tells nothing', () => {
    const bare = new Float32Array(GRID_COLUMNS * GRID_ROWS).fill(0.5);
    expect(shiftBetween(bare, bare, none)).toBeNull();
  });
});

describe('a shaken clip', () => {
  const truth = readTruthFile('sprint-lunge-good');
  const track = truthTrack(truth);
  const known = { timeBase: { kind: 'known' } } as const;
  const background = {
    xPx: Float32Array.from(track.times, (t) => 20 * Math.sin(9 * t)),
    yPx: Float32Array.from(track.times, (t) => 12 * Math.sin(7 * t)),
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
    expect(shown.xy[at]! - calm.xy[at]!).toBeCloseTo(background.xPx[30]!, 1);
  });
  test('a background that moved by less than 2 pixels is left alone; one of another length too', () => {
    const little = { xPx: background.xPx.map((x) => x / 20), yPx: background.yPx.map(() => 0) };
    expect(steadyTrack(track, little)).toMatchObject({ track, farthestPx: 0 });
    expect(steadyTrack(track, { xPx: new Float32Array(3).fill(50), yPx: new Float32Array(3) }).farthestPx).toBe(0);
  });
});
