import { colourPlanes, rgbMatrix, type Plane } from './colour-planes.ts';
import { CROP_PX, cropToPicture } from './crop.ts';
import type { Crop } from './crop.ts';
import { growTo, type KernelBuild, type Kernels } from './network/load-kernels.ts';
import { colourBytes, composeAffine, displayToCoded } from './picture.ts';
import type { Affine, Picture } from './picture.ts';
import { sampleCrop } from './sample-crop.ts';

/** Samples a square region of a picture as sampleCrop does. The numbers hold until the next call. */
export type CropSampler = (picture: Picture, crop: Crop, mirrored: boolean) => Float32Array;

/** Bytes of a plane in the kernels' memory, with where its first sample lies. */
interface PlacedPlane {
  readonly at: number;
  readonly stride: number;
  readonly columns: number;
  readonly rows: number;
  readonly span: number;
  readonly firstX: number;
  readonly firstY: number;
}

/** What has a fixed place in the memory: weights, then three sampled planes, the result, the picture's planes. */
const WEIGHTS_AT = 64;
const SAMPLES_AT = 128;
/** The kernels read whole groups of bytes, up to this far past the end of a row. */
const PAST_END = 64;
/** Samples around the region that are taken along, so that its edge is not taken for the picture's. */
const MARGIN = 4;

/** A sampler by kernels where there are any, else sampleCrop; the result has `size` × `size` pixels, a multiple of 4. */
export function cropSampler(kernels: KernelBuild | null, size = CROP_PX): CropSampler {
  if (kernels !== null) return kernelSampler(kernels.start(), size);
  const buffer = new Float32Array(3 * size * size);
  return (picture, crop, mirrored) => sampleCrop(picture, crop, { size, into: buffer, mirrored });
}

/** sampleCrop by kernels with a memory of their own, where the decoder gives planes; else sampleCrop itself. */
export function kernelSampler(kernels: Kernels, size = CROP_PX): CropSampler {
  const { memory } = kernels;
  const numbers = 3 * size * size;
  const resultAt = SAMPLES_AT + numbers * 4;
  const freeAt = resultAt + numbers * 4;
  let views = reserve(freeAt);
  const plain = new Float32Array(numbers);

  function reserve(bytes: number): { readonly bytes: Uint8Array; readonly weights: Float32Array; readonly result: Float32Array } {
    growTo(memory, bytes);
    const { buffer } = memory;
    return { bytes: new Uint8Array(buffer), weights: new Float32Array(buffer, WEIGHTS_AT, 12), result: new Float32Array(buffer, resultAt, numbers) };
  }

  return (picture, crop, mirrored) => {
    const planes = colourPlanes(picture);
    const smallest = planes.at(-1);
    if (colourBytes(picture.format) !== null || smallest === undefined || Math.min(smallest.width, smallest.height) < 32) {
      return sampleCrop(picture, crop, { size, into: plain, mirrored });
    }
    let map = composeAffine(displayToCoded(picture), cropToPicture(crop, size));
    if (mirrored) map = composeAffine(map, [-1, 0, size, 0, 1, 0]);
    const [a, b, c, d, e, f] = map;
    const scale = Math.sqrt(Math.abs(a * e - b * d));

    let free = freeAt;
    const room = (bytes: number): number => {
      const at = free;
      free += Math.ceil((bytes + PAST_END) / 64) * 64;
      if (free > memory.buffer.byteLength) views = reserve(free);
      return at;
    };
    const placed = (plane: Plane): PlacedPlane[] => {
      const halvings = Math.max(0, Math.ceil(Math.log2(scale / plane.span / Math.SQRT2)));
      const { from: row, to: endRow } = reach(size, map[3], map[4], (map[5] - plane.firstY) / plane.span, plane.span, plane.height, halvings);
      const { from: column, to: endColumn } = reach(size, map[0], map[1], (map[2] - plane.firstX) / plane.span, plane.span, plane.width, halvings);
      const start = plane.offset + row * plane.stride;
      const length = (endRow - row - 1) * plane.stride + plane.width * plane.step;
      const at = room(length);
      views.bytes.set(plane.bytes.subarray(start, start + length), at);
      const shared = { rows: endRow - row, span: plane.span, firstY: plane.firstY + row * plane.span };
      if (plane.step === 1) {
        return [halved({ ...shared, at: at + column, stride: plane.stride, columns: endColumn - column, firstX: plane.firstX + column * plane.span }, halvings)];
      }
      const stride = lined(plane.width);
      const [first, second] = [room(stride * shared.rows), room(stride * shared.rows)];
      kernels.part(at, plane.stride, plane.width, shared.rows, first, second, stride);
      const whole = { ...shared, stride, columns: plane.width, firstX: plane.firstX };
      return [halved({ ...whole, at: first }, halvings), halved({ ...whole, at: second }, halvings)];
    };
    const halved = (plane: PlacedPlane, times: number): PlacedPlane => {
      let coarse = plane;
      for (let i = 0; i < times; i += 1) {
        const { at, stride, span, firstX, firstY } = coarse;
        const [columns, rows] = [coarse.columns >> 1, coarse.rows >> 1];
        const toStride = lined(columns);
        const to = room(toStride * rows);
        kernels.halve(at, stride, columns, rows, to, toStride);
        coarse = { at: to, stride: toStride, columns, rows, span: span * 2, firstX: firstX + span / 2, firstY: firstY + span / 2 };
      }
      return coarse;
    };

    // Of two planes whose samples alternate, the first brings both.
    const [luma, blue, red] = (picture.format === 'NV12' ? planes.slice(0, 2) : planes).flatMap(placed);
    if (luma === undefined || blue === undefined || red === undefined) throw new RangeError('a picture of fewer than three planes');
    const sampled = ({ at, stride, columns, rows, span, firstX, firstY }: PlacedPlane, second: number, out: number): void => {
      kernels.samplePlane(
        at, second, stride, columns, rows, a / span, b / span, (c - firstX) / span, d / span, e / span, (f - firstY) / span, size, out,
      );
    };
    sampled(luma, 0, SAMPLES_AT);
    const [blueAt, redAt] = [SAMPLES_AT + size * size * 4, SAMPLES_AT + 2 * size * size * 4];
    // The two planes of colour as a rule lie alike: then both are sampled at once.
    if (blue.stride === red.stride) sampled(blue, red.at, blueAt);
    else {
      sampled(blue, 0, blueAt);
      sampled(red, 0, redAt);
    }
    views.weights.set(rgbMatrix(picture));
    kernels.colour(SAMPLES_AT, WEIGHTS_AT, a, b, c, d, e, f, picture.codedWidth, picture.codedHeight, size, resultAt);
    return views.result;
  };
}

/** Bytes from row to row of a plane that the kernels write. */
function lined(columns: number): number {
  return Math.ceil(columns / 16) * 16;
}

/**
 * First sample and end of those that a region touches along one axis, where (x, y) of the region's `size` × `size` pixels lies at (across · x + down · y) / span
 * + start. The first is a multiple of what `halvings` join, so that the same samples are joined wherever the region lies.
 */
function reach(size: number, across: Affine[number], down: Affine[number], start: number, span: number, count: number, halvings: number): { readonly from: number; readonly to: number } {
  const corners = [0, (across * size) / span, (down * size) / span, ((across + down) * size) / span].map((offset) => start + offset);
  const joined = 2 ** halvings;
  const least = 2 * joined;
  const low = Math.floor(Math.min(...corners)) - MARGIN * joined;
  const high = Math.ceil(Math.max(...corners)) + MARGIN * joined;
  const from = Math.floor(Math.max(0, Math.min(low, count - least)) / joined) * joined;
  return { from, to: Math.min(count, Math.max(high, from + least)) };
}
