import type { Glimpse } from './contract.ts';
import { cropFromBox, type PictureBox } from './pose/crop.ts';
import { cropSampler, type CropSampler } from './pose/kernel-sampler.ts';
import type { LandmarkReading } from './pose/landmark-model.ts';
import type { Picture } from './pose/picture.ts';
import type { KernelBuild } from './pose/network/load-kernels.ts';
import { kernelBuild } from './prepare-models.ts';
import { LANDMARK_COUNT } from '../src/pose/landmarks.ts';

/** Side of a glimpse, pixels; chosen: sharp enough for a laptop's screen, cut out in about 2 ms. */
const SIDE_PX = 320;
/** Room around a body, as a part of its size. */
const ROOM = 1.3;

/** What cuts glimpses out; made anew when this worker's kernels are others. */
let made: { readonly kernels: KernelBuild | null; readonly sample: CropSampler } | null = null;

async function glimpseSampler(): Promise<CropSampler> {
  const kernels = await kernelBuild();
  if (made === null || made.kernels !== kernels) made = { kernels, sample: cropSampler(kernels, SIDE_PX) };
  return made.sample;
}

/** A glimpse of a person who was found, not read yet; null for an empty box. */
export async function glimpseOfBox(picture: Picture, t: number, box: PictureBox): Promise<Glimpse | null> {
  const crop = cropFromBox(box);
  return crop === null ? null : cutOut(picture, t, crop.centreX, crop.centreY, crop.sidePx, null);
}

/** A glimpse of the athlete with the joints that were read. */
export function glimpseOfReading(picture: Picture, t: number, { xy }: LandmarkReading): Promise<Glimpse> {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < LANDMARK_COUNT; i += 1) {
    const [x, y] = [xy[i * 2] ?? Number.NaN, xy[i * 2 + 1] ?? Number.NaN];
    [left, right] = [Math.min(left, x), Math.max(right, x)];
    [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
  }
  return cutOut(picture, t, (left + right) / 2, (top + bottom) / 2, Math.max(right - left, bottom - top) * ROOM, xy);
}

/** The square around a point, moved into the picture as far as it fits. */
async function cutOut(picture: Picture, t: number, aroundX: number, aroundY: number, sidePx: number, xy: Float32Array | null): Promise<Glimpse> {
  const inside = (at: number, limit: number): number => (limit < sidePx ? limit / 2 : Math.min(Math.max(at, sidePx / 2), limit - sidePx / 2));
  const centreX = inside(aroundX, picture.widthPx);
  const centreY = inside(aroundY, picture.heightPx);
  const rgb = (await glimpseSampler())(picture, { centreX, centreY, sidePx, rotationRad: 0 }, false);
  const rgba = new Uint8ClampedArray(SIDE_PX * SIDE_PX * 4).fill(255);
  for (let from = 0, to = 0; from < rgb.length; from += 3, to += 4) {
    rgba[to] = (rgb[from] ?? 0) * 255;
    rgba[to + 1] = (rgb[from + 1] ?? 0) * 255;
    rgba[to + 2] = (rgb[from + 2] ?? 0) * 255;
  }
  const scale = SIDE_PX / sidePx;
  return { t, sidePx: SIDE_PX, rgba, xy: xy && xy.map((value, i) => (value - (i % 2 === 0 ? centreX : centreY)) * scale + SIDE_PX / 2) };
}
