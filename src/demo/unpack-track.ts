import { LANDMARK_COUNT, LANDMARK_INDEX, LANDMARKS } from '../pose/landmarks.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import type { Analysis } from '../reading/reading.ts';
import type { PackedTrack } from './schema.ts';

/** Where the left landmark's values go when sides are exchanged, and the other way round. */
const OTHER_SIDE: readonly number[] = LANDMARKS.map((name) => {
  const other = name.startsWith('left') ? name.replace('left', 'right') : name.replace('right', 'left');
  return LANDMARK_INDEX[other as keyof typeof LANDMARK_INDEX];
});

/** A packed track as the analysis of an invented clip; with `isSwapped`, left and right are exchanged: the same shape with the other leg leading. */
export function unpackAnalysis(packed: PackedTrack, isSwapped: boolean): Analysis {
  const frames = packed.timesUs.length;
  const times = Float64Array.from(packed.timesUs, (us) => us / 1e6);
  const xy = new Float32Array(frames * LANDMARK_COUNT * 2).fill(Number.NaN);
  const score = new Float32Array(frames * LANDMARK_COUNT);
  const sd = new Float32Array(frames * LANDMARK_COUNT).fill(Number.NaN);
  for (let frame = 0; frame < frames; frame += 1) {
    for (let landmark = 0; landmark < LANDMARK_COUNT; landmark += 1) {
      const from = frame * LANDMARK_COUNT + (isSwapped ? (OTHER_SIDE[landmark] ?? landmark) : landmark);
      const to = frame * LANDMARK_COUNT + landmark;
      for (const axis of [0, 1]) {
        const value = packed.quarterPx[2 * from + axis];
        if (value !== null && value !== undefined) xy[2 * to + axis] = value / 4;
      }
      const deviation = packed.sdQuarterPx[from];
      if (deviation !== null && deviation !== undefined) sd[to] = deviation / 4;
      score[to] = (packed.scorePercent[from] ?? 0) / 100;
    }
  }
  const track: PoseTrack = {
    times, widthPx: packed.widthPx, heightPx: packed.heightPx, xy, score, sd,
    model: packed.model, backend: packed.backend,
  };
  const last = times[frames - 1] ?? 0;
  const durationS = (last * frames) / Math.max(1, frames - 1);
  const fps = (frames - 1) / last;
  return {
    clip: {
      fileName: 'invented.mp4', sizeBytes: 0, container: 'MP4', codec: 'avc', widthPx: packed.widthPx, heightPx: packed.heightPx, rotationDeg: 0,
      durationS, fps: { min: fps, median: fps, max: fps }, frameCount: frames, isHdr: false, timeBase: { kind: 'known' },
    },
    track,
    people: [],
    part: { fromS: 0, toS: durationS, proposed: true },
    stoppedAtS: null,
    quality: { athleteHeightPx: null, brightness: null, sharpness: null },
    profile: { openMs: 0, prepareMs: 0, findMs: 0, decodeMs: 0, copyMs: 0, inferMs: 0, qualityMs: 0, totalMs: 0, frames, workers: 1 },
    engineVersion: 'invented',
  };
}
