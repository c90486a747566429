import { exchangeSides, LIMB_PAIRS } from './exchange-sides.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** Departure from steady motion beyond which a jump counts no more, in body sizes. Chosen: a foot's size. */
const JUMP_CAP = 0.25;
/** Cost of contradicting the model's own left and right in one frame, in body sizes. Chosen: a tenth of what both legs changing places costs. */
const SWAP_COST = 0.08;

/** Limbs this far from each other, in body sizes, are apart; seen within this share of that for one frame, they were taken for one. Chosen: passing limbs never close in so fast. */
const APART = 0.1;
const MERGED_SHARE = 0.25;

/** A repaired track and the frames in which legs or arms changed places. */
export interface SwapRepair {
  readonly track: PoseTrack;
  readonly legSwaps: readonly number[];
  readonly armSwaps: readonly number[];
}

/** Median of the head-to-foot extent over the frames, the size against which jumps are judged, in pixels. */
function bodySizePx(track: PoseTrack): number {
  const extents: number[] = [];
  for (let i = 0; i < track.times.length; i++) {
    let top = Infinity;
    let bottom = -Infinity;
    for (let k = 0; k < LANDMARK_COUNT; k++) {
      const y = track.xy[(i * LANDMARK_COUNT + k) * 2 + 1] ?? NaN;
      if (y < top) top = y;
      if (y > bottom) bottom = y;
    }
    if (bottom > top) extents.push(bottom - top);
  }
  extents.sort((a, b) => a - b);
  return extents[extents.length >> 1] ?? 1;
}

/**
 * Which frames to swap so that the limbs move most steadily over the whole clip.
 *
 * Viterbi over the last two frames' states: the cost of a frame is how far each point lies from where steady motion
 * would put it, and a small cost for contradicting the model. Frames in gaps keep the state before them.
 */
function steadiestSwaps(track: PoseTrack, pairs: readonly (readonly [LandmarkName, LandmarkName])[], sizePx: number): boolean[] {
  const n = track.times.length;
  const index = pairs.map(([a, b]) => [LANDMARK_INDEX[a], LANDMARK_INDEX[b]] as const);
  const apart = track.times.map((_, frame) => index.reduce((sum, [a, b]) => {
    const at = (k: number, axis: number): number => track.xy[(frame * LANDMARK_COUNT + k) * 2 + axis] ?? NaN;
    return sum + Math.hypot(at(a, 0) - at(b, 0), at(a, 1) - at(b, 1));
  }, 0) / (index.length * sizePx));
  // Both limbs seen in one place for a frame, when they are apart before and after, say nothing of their sides.
  const merged = (frame: number): boolean => {
    const around = Math.min(apart[frame - 1] ?? NaN, apart[frame + 1] ?? NaN);
    return around > APART && apart[frame]! < MERGED_SHARE * around;
  };
  const seen: number[] = [];
  for (let i = 0; i < n; i++) {
    if (index.every(([a]) => Number.isFinite(track.xy[(i * LANDMARK_COUNT + a) * 2])) && !merged(i)) seen.push(i);
  }
  const swapped = new Array<boolean>(n).fill(false);
  if (seen.length < 3) return swapped;

  // Where the points lie: frame after frame, pair after pair, left and right, x and y.
  const width = index.length * 4;
  const places = new Float64Array(seen.length * width);
  seen.forEach((frame, k) => {
    index.forEach((pair, p) => {
      for (let side = 0; side < 2; side++) {
        const at = (frame * LANDMARK_COUNT + pair[side]!) * 2;
        places[k * width + p * 4 + side * 2] = track.xy[at] ?? NaN;
        places[k * width + p * 4 + side * 2 + 1] = track.xy[at + 1] ?? NaN;
      }
    });
  });
  const cost = (k: number, s2: number, s1: number, s0: number): number => {
    const [t2, t1, t0] = [track.times[seen[k - 2]!]!, track.times[seen[k - 1]!]!, track.times[seen[k]!]!];
    const ratio = (t0 - t1) / Math.max(1e-6, t1 - t2);
    const carry = ratio > 3 ? 0 : Math.min(ratio, 1.5);
    let sum = 0;
    for (let at = k * width; at < (k + 1) * width; at += 2) {
      // A state of 1 reads the other side of the pair.
      const a = (at ^ (2 * s2)) - 2 * width;
      const b = (at ^ (2 * s1)) - width;
      const c = at ^ (2 * s0);
      const offX = (places[c]! - (places[b]! + (places[b]! - places[a]!) * carry)) / sizePx;
      const offY = (places[c + 1]! - (places[b + 1]! + (places[b + 1]! - places[a + 1]!) * carry)) / sizePx;
      sum += Math.min(Math.sqrt(offX * offX + offY * offY), JUMP_CAP);
    }
    return sum + SWAP_COST * s0;
  };

  // state = 2 * previous + current
  let best = [0, SWAP_COST, SWAP_COST, 2 * SWAP_COST];
  const from: Uint8Array[] = [];
  for (let k = 2; k < seen.length; k++) {
    const next = [Infinity, Infinity, Infinity, Infinity];
    const back = new Uint8Array(4);
    for (let old = 0; old < 4; old++) {
      for (let s0 = 0; s0 < 2; s0++) {
        const state = 2 * (old & 1) + s0;
        const total = best[old]! + cost(k, old >> 1, old & 1, s0);
        if (total < next[state]!) {
          next[state] = total;
          back[state] = old;
        }
      }
    }
    best = next;
    from.push(back);
  }
  let state = best.indexOf(Math.min(...best));
  const states: number[] = [];
  for (let k = seen.length - 1; k >= 2; k--) {
    states[k] = state & 1;
    state = from[k - 2]![state]!;
  }
  states[1] = state & 1;
  states[0] = state >> 1;
  seen.forEach((frame, k) => {
    swapped[frame] = states[k] === 1;
  });
  return swapped;
}

/** Puts left and right back where steady motion says they belong; legs and arms are decided apart. Raw data stays untouched. */
export function repairSwaps(track: PoseTrack): SwapRepair {
  const sizePx = bodySizePx(track);
  const framesOf = (part: keyof typeof LIMB_PAIRS): number[] =>
    steadiestSwaps(track, LIMB_PAIRS[part], sizePx).flatMap((swap, frame) => (swap ? [frame] : []));
  const legSwaps = framesOf('legs');
  const armSwaps = framesOf('arms');
  return { track: exchangeSides(exchangeSides(track, 'legs', legSwaps), 'arms', armSwaps), legSwaps, armSwaps };
}
