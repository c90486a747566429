import { followedBy, inverse, STILL, type Motion } from '../src/geometry/motion.ts';
import type { LandmarkReading } from './pose/landmark-model.ts';
import { lumaReader } from './luma-reader.ts';
import { displayToCoded, type Picture } from './pose/picture.ts';
import type { PictureBox } from './pose/crop.ts';
import { BackgroundWatch } from './watch-background.ts';

/** Samples taken a side in the region around the athlete. */
const GRID = 48;
/** The background is looked at at most this often; between looks it is bridged. Chosen: hands shake some ten times a second at most. */
const BACKGROUND_LOOKS_PER_S = 30;

/** Collects facts of the pictures around the athlete, one value a frame. */
export class QualityMeter {
  readonly #heightPx: number[] = [];
  readonly #brightness: number[] = [];
  readonly #sharpness: number[] = [];
  readonly #steps: number[] = [];
  readonly #background = new BackgroundWatch();
  #lookedAtS = -Infinity;
  /** Where the background was when it was last found. */
  #lay: Motion = STILL;

  /** Adds one frame at clip seconds `t`; null is a gap. Frames must come in order of time. In the last one the background is looked at in any case. */
  add(t: number, picture: Picture, reading: LandmarkReading | null, isLast = false): void {
    this.#addStep(t, picture, reading === null ? null : landmarkBox(reading.xy), isLast);
    if (reading === null) {
      for (const list of [this.#heightPx, this.#brightness, this.#sharpness]) list.push(Number.NaN);
      return;
    }
    const box = landmarkBox(reading.xy);
    const luma = regionFacts(picture, box);
    this.#heightPx.push(box.height);
    this.#brightness.push(luma.mean);
    this.#sharpness.push(luma.sharpness ?? Number.NaN);
  }

  #addStep(t: number, picture: Picture, box: PictureBox | null, isLast: boolean): void {
    const isDue = isLast || Math.floor(t * BACKGROUND_LOOKS_PER_S + 1e-3) > Math.floor(this.#lookedAtS * BACKGROUND_LOOKS_PER_S + 1e-3);
    const lies = isDue ? this.#background.motionIn(picture, box) : null;
    if (isDue) this.#lookedAtS = t;
    if (lies === null) {
      this.#steps.push(Number.NaN, Number.NaN, Number.NaN);
      return;
    }
    const { x, y, turnRad } = followedBy(inverse(this.#lay), lies);
    this.#steps.push(x, y, turnRad);
    this.#lay = lies;
  }

  /** One value a frame, NaN where there is none; the steps of the background as in Followed. */
  arrays(): Readonly<Record<'heightPx' | 'brightness' | 'sharpness', Float32Array>> & { readonly backgroundSteps: Float64Array } {
    return {
      backgroundSteps: Float64Array.from(this.#steps),
      heightPx: Float32Array.from(this.#heightPx),
      brightness: Float32Array.from(this.#brightness),
      sharpness: Float32Array.from(this.#sharpness),
    };
  }
}

function landmarkBox(xy: Float32Array): PictureBox {
  let left = Infinity;
  let right = -Infinity;
  let top = Infinity;
  let bottom = -Infinity;
  for (let i = 0; i < xy.length; i += 2) {
    const x = xy[i] ?? 0;
    const y = xy[i + 1] ?? 0;
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  }
  return { x: left, y: top, width: right - left, height: bottom - top };
}

/** Mean luma 0 to 1 and sharpness of a region, read at a grid of stored pixels and their right neighbours. */
export function regionFacts(picture: Picture, box: PictureBox): { readonly mean: number; readonly sharpness: number | null } {
  const [a, b, c, d, e, f] = displayToCoded(picture);
  const lumaAt = lumaReader(picture);
  let sum = 0;
  let squares = 0;
  let steps = 0;
  let count = 0;
  for (let j = 0; j < GRID; j += 1) {
    for (let i = 0; i < GRID; i += 1) {
      const x = box.x + (box.width * (i + 0.5)) / GRID;
      const y = box.y + (box.height * (j + 0.5)) / GRID;
      const column = Math.floor(a * x + b * y + c);
      const row = Math.floor(d * x + e * y + f);
      if (column < 0 || row < 0 || column + 1 >= picture.codedWidth || row >= picture.codedHeight) continue;
      const here = lumaAt(column, row);
      const beside = lumaAt(column + 1, row);
      sum += here;
      squares += here * here;
      steps += (beside - here) ** 2;
      count += 1;
    }
  }
  if (count === 0) return { mean: 0, sharpness: null };
  const mean = sum / count;
  const spread = Math.sqrt(Math.max(squares / count - mean * mean, 0));
  return { mean, sharpness: spread > 1e-6 ? Math.sqrt(steps / count) / spread : null };
}

