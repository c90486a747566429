import { LANDMARK_INDEX } from '../src/pose/landmarks.ts';

/** Measured after the body is upside down, seconds: smoothing and the fit of the hands' landing look this far ahead, and no measure lies later. */
const AFTER_HANDS_S = 0.35;
/** Upside down for this long counts, seconds (chosen: longer than a slip of the model, shorter than any round-off). */
const HELD_S = 0.06;
/** Shoulders lower than the hips by this share of the trunk's length: leaning far beyond level (chosen; a deep dip stays above level). */
const UPSIDE_DOWN = 0.35;

/** Notices when the athlete has gone onto the hands, so that the measuring of a proposed part can end. */
export class HandsWatch {
  #since: number | null = null;
  #upsideDownAt: number | null = null;

  /** Adds one frame: landmarks as 33 × 2 display pixels, or null in a gap. */
  add(t: number, xy: Float32Array | null): void {
    if (this.#upsideDownAt !== null) return;
    if (xy === null || !isUpsideDown(xy)) {
      // A gap says nothing; an upright frame ends the count.
      if (xy !== null) this.#since = null;
      return;
    }
    this.#since ??= t;
    if (t - this.#since >= HELD_S) this.#upsideDownAt = this.#since;
  }

  /** True once enough has been seen after the hands. */
  isOver(t: number): boolean {
    return this.#upsideDownAt !== null && t >= this.#upsideDownAt + AFTER_HANDS_S;
  }
}

/** Shoulders clearly lower than hips, and a wrist lower than the shoulders. */
function isUpsideDown(xy: Float32Array): boolean {
  const y = (name: keyof typeof LANDMARK_INDEX): number => xy[LANDMARK_INDEX[name] * 2 + 1] ?? Number.NaN;
  const x = (name: keyof typeof LANDMARK_INDEX): number => xy[LANDMARK_INDEX[name] * 2] ?? Number.NaN;
  const shoulderY = (y('leftShoulder') + y('rightShoulder')) / 2;
  const hipY = (y('leftHip') + y('rightHip')) / 2;
  const trunk = Math.hypot((x('leftShoulder') + x('rightShoulder') - x('leftHip') - x('rightHip')) / 2, shoulderY - hipY);
  return shoulderY - hipY > UPSIDE_DOWN * trunk && Math.max(y('leftWrist'), y('rightWrist')) > shoulderY;
}
