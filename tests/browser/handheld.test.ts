import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { motionAt } from '../../src/clip/background-motion.ts';
import { inverse, moved } from '../../src/geometry/motion.ts';
import { readTruth } from '../../tools/bench/truth.ts';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';
import { measureClips } from '../../tools/measure/measure-clips.ts';

// Clips from a shaken camera (fixtures/handheld/README.md).
const fixture = (name: string): string => fileURLToPath(new URL(`../../fixtures/handheld/${name}`, import.meta.url));

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
});
afterAll(() => open.close());

interface CameraFile {
  readonly size: readonly [number, number];
  readonly camera: { readonly rotation_cam_to_world_rowmajor: readonly number[]; readonly position_m: readonly number[]; readonly focal_px: number };
  readonly frames: readonly { readonly t: number; readonly kp2d: Readonly<Record<string, readonly number[]>>; readonly kp3d: Readonly<Record<string, readonly number[]>> }[];
}

/** Where the athlete's joints lie in the picture less where a camera that stood still would have shown them: a mean and its place, frame by frame. */
function swayOf({ size: [width, height], camera, frames }: CameraFile): readonly { readonly t: number; readonly x: number; readonly y: number; readonly place: { readonly x: number; readonly y: number } }[] {
  const [turn, from] = [camera.rotation_cam_to_world_rowmajor, camera.position_m];
  return frames.map(({ t, kp2d, kp3d }) => {
    const names = Object.keys(kp3d);
    const mean = (of: (name: string) => number): number => names.reduce((sum, name) => sum + of(name), 0) / names.length;
    const inCamera = (name: string, axis: number): number => [0, 1, 2].reduce((sum, i) => sum + turn[3 * i + axis]! * (kp3d[name]![i]! - from[i]!), 0);
    const depth = (name: string): number => -inCamera(name, 2);
    return {
      t,
      x: mean((name) => kp2d[name]![0]! - (width / 2 + (camera.focal_px * inCamera(name, 0)) / depth(name))),
      y: mean((name) => kp2d[name]![1]! - (height / 2 - (camera.focal_px * inCamera(name, 1)) / depth(name))),
      place: { x: mean((name) => kp2d[name]![0]!), y: mean((name) => kp2d[name]![1]!) },
    };
  });
}

it.each(['two-step-run-bare-wall', 'half-kneeling-clutter'])('%s: the sway is read within 1 pixel (root mean square), start, lead and direction are right, launch, plant and hands to a 60th of a second', async (name) => {
  const truth = readTruth(fixture(`${name}.truth.json`));
  const sway = swayOf(JSON.parse(readFileSync(fixture(`${name}.truth.json`), 'utf8')) as CameraFile);
  const options = {
    request: { trim: null, athleteAt: null, model: 'full' as const, backend: 'wasm' as const },
    overrides: { timeBase: { kind: 'known' as const }, heightM: truth.heightM },
    withTracks: true,
  };
  let clips = 0;
  for await (const { record, track } of measureClips(open.page, [fixture(`${name}.mp4`)], options)) {
    clips += 1;
    if (!record.ok) throw new Error(record.problem.kind);
    if (track?.background == null) throw new Error('the background was not found');
    const { xPx, yPx, turnRad } = track.background;
    const background = { xPx: Float32Array.from(xPx), yPx: Float32Array.from(yPx), turnRad: Float32Array.from(turnRad) };
    const misses = track.times.map((t, frame) => {
      const true_ = sway.find((one) => Math.abs(one.t - t) < 0.004)!;
      const back = moved(true_.place, inverse(motionAt(background, frame, track)));
      return (true_.place.x - back.x - true_.x + sway[0]!.x) ** 2 + (true_.place.y - back.y - true_.y + sway[0]!.y) ** 2;
    });
    expect(Math.sqrt(misses.reduce((sum, miss) => sum + miss, 0) / misses.length)).toBeLessThan(1);
    expect(record.start.id).toBe(truth.start);
    expect(record.lead.side).toBe(truth.lead);
    expect(record.direction.value).toBe(truth.direction);
    for (const id of ['launch', 'plant', 'hands'] as const) {
      const found = record.moments[id];
      if (!found.found) throw new Error(`${id} was not found`);
      expect(Math.abs(found.t - (truth.moments[id] ?? Number.NaN)), id).toBeLessThanOrEqual(1 / 60);
    }
  }
  expect(clips).toBe(1);
});
