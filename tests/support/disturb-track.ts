import { LANDMARKS, LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../../src/pose/landmarks.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';

/** Pseudo-random numbers in 0..1 from a seed (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** The track with independent Gaussian noise of `sdPx` on every coordinate. */
export function withNoise(track: PoseTrack, sdPx: number, seed: number): PoseTrack {
  const random = seeded(seed);
  const gauss = (): number => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  return { ...track, xy: track.xy.map((value) => value + sdPx * gauss()) };
}

/** The left landmark's partner and the other way round; itself for the nose. */
export function partnerOf(name: LandmarkName): LandmarkName {
  if (name === 'mouthLeft') return 'mouthRight';
  if (name === 'mouthRight') return 'mouthLeft';
  if (name.startsWith('left')) return name.replace('left', 'right') as LandmarkName;
  return name.startsWith('right') ? (name.replace('right', 'left') as LandmarkName) : name;
}

/** The same movement seen in a mirror: x turned over and the sides exchanged. */
export function mirrored(track: PoseTrack): PoseTrack {
  return exchangeSides({ ...track, xy: track.xy.map((value, k) => (k % 2 === 0 ? track.widthPx - value : value)) }, () => true);
}

/** The track with left and right exchanged, as a mistaken model would, in the frames that `isMistaken` names. */
export function exchangeSides(track: PoseTrack, isMistaken: (frame: number) => boolean): PoseTrack {
  const xy = track.xy.slice();
  const score = track.score.slice();
  const sd = track.sd.slice();
  for (let frame = 0; frame < track.times.length; frame++) {
    if (!isMistaken(frame)) continue;
    LANDMARKS.forEach((name, k) => {
      const to = frame * LANDMARK_COUNT + k;
      const from = frame * LANDMARK_COUNT + LANDMARK_INDEX[partnerOf(name)];
      xy[2 * to] = track.xy[2 * from]!;
      xy[2 * to + 1] = track.xy[2 * from + 1]!;
      score[to] = track.score[from]!;
      sd[to] = track.sd[from]!;
    });
  }
  return { ...track, xy, score, sd };
}

/** The track with its clip seconds multiplied, as slow motion is stored. */
export function slowed(track: PoseTrack, factor: number): PoseTrack {
  return { ...track, times: track.times.map((t) => t * factor) };
}

/** The track with only the frames that `isKept` names, as a thinner measuring gives it. */
export function thinned(track: PoseTrack, isKept: (t: number, frame: number) => boolean): PoseTrack {
  const kept = [...track.times.keys()].filter((frame) => isKept(track.times[frame]!, frame));
  const rows = (values: Float32Array, each: number): Float32Array => Float32Array.from(kept.flatMap((frame) => [...values.subarray(frame * each, (frame + 1) * each)]));
  return { ...track, times: Float64Array.from(kept, (frame) => track.times[frame]!), xy: rows(track.xy, 2 * LANDMARK_COUNT), score: rows(track.score, LANDMARK_COUNT), sd: rows(track.sd, LANDMARK_COUNT) };
}
