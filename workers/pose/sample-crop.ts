import { colourPlanes, rgbMatrix, type Plane } from './colour-planes.ts';
import { CROP_PX, cropToPicture } from './crop.ts';
import type { Crop } from './crop.ts';
import { composeAffine, displayToCoded } from './picture.ts';
import type { Affine, Picture } from './picture.ts';

interface Window {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/**
 * Samples a square region of a picture for the landmark models: RGB from 0 to 1, `size` × `size` × 3, row by row.
 * Where the region is larger than the result, the picture is first averaged over 2 × 2 blocks as often as needed, so
 * that fine detail does not alias; what lies outside the picture is black, as in the models' training.
 * `mirrored` flips the result left to right. Writes into `into` when given and returns it.
 */
export function sampleCrop(
  picture: Picture,
  crop: Crop,
  options: { readonly size?: number; readonly mirrored?: boolean; readonly into?: Float32Array } = {},
): Float32Array {
  const size = options.size ?? CROP_PX;
  const out = options.into ?? new Float32Array(size * size * 3);
  if (out.length !== size * size * 3) throw new RangeError(`the result needs ${size * size * 3} numbers, got ${out.length}`);
  const toCoded = displayToCoded(picture);
  let map = composeAffine(toCoded, cropToPicture(crop, size));
  if (options.mirrored === true) map = composeAffine(map, [-1, 0, size, 0, 1, 0]);
  const [a, b, c, d, e, f] = map;
  const scale = Math.sqrt(Math.abs(a * e - b * d));

  const corners = [[0, 0], [size, 0], [0, size], [size, size]] as const;
  const xs = corners.map(([x, y]) => a * x + b * y + c);
  const ys = corners.map(([x, y]) => d * x + e * y + f);
  const window: Window = { x0: Math.min(...xs), y0: Math.min(...ys), x1: Math.max(...xs), y1: Math.max(...ys) };

  const planes = colourPlanes(picture).map((plane) => {
    let coarse = plane;
    while (scale / coarse.span > Math.SQRT2) coarse = halved(coarse, window);
    return coarse;
  });
  const count = size * size;
  const samples = planes.map((plane, i) => samplePlane(plane, map, size, scratch(i, count)));
  const [s0, s1, s2] = samples as [Float32Array, Float32Array, Float32Array];
  const [yr, ur, vr, kr, yg, ug, vg, kg, yb, ub, vb, kb] = rgbMatrix(picture);
  for (let i = 0, at = 0; i < count; i += 1, at += 3) {
    const y = s0[i] as number;
    const u = s1[i] as number;
    const v = s2[i] as number;
    const red = yr * y + ur * u + vr * v + kr;
    const green = yg * y + ug * u + vg * v + kg;
    const blue = yb * y + ub * u + vb * v + kb;
    out[at] = red < 0 ? 0 : red > 1 ? 1 : red;
    out[at + 1] = green < 0 ? 0 : green > 1 ? 1 : green;
    out[at + 2] = blue < 0 ? 0 : blue > 1 ? 1 : blue;
  }
  blackenOutside(out, map, size, picture);
  return out;
}

/** Room for the samples of each plane, used again by every call of the same size: a clip would leave 0.8 MB a frame to be cleared away. */
const rooms: Float32Array[] = [];

function scratch(plane: number, count: number): Float32Array {
  const room = rooms[plane];
  if (room?.length === count) return room;
  const fresh = new Float32Array(count);
  rooms[plane] = fresh;
  return fresh;
}

/** Bilinear samples of one plane at the centres of the result's pixels, into `out`; the border sample repeats outside. */
function samplePlane(plane: Plane, map: Affine, size: number, out: Float32Array): Float32Array {
  const { bytes, step, stride, offset, span } = plane;
  const [a, b, c, d, e, f] = map;
  const du = a / span;
  const dv = d / span;
  const lastX = plane.width - 1;
  const lastY = plane.height - 1;
  let at = 0;
  for (let row = 0; row < size; row += 1) {
    let u = (a * 0.5 + b * (row + 0.5) + c - plane.firstX) / span;
    let v = (d * 0.5 + e * (row + 0.5) + f - plane.firstY) / span;
    for (let column = 0; column < size; column += 1, at += 1, u += du, v += dv) {
      const i = Math.floor(u);
      const j = Math.floor(v);
      if (i >= 0 && j >= 0 && i < lastX && j < lastY) {
        const fu = u - i;
        const base = offset + j * stride + i * step;
        const p00 = bytes[base] as number;
        const p01 = bytes[base + stride] as number;
        const top = p00 + ((bytes[base + step] as number) - p00) * fu;
        const bottom = p01 + ((bytes[base + stride + step] as number) - p01) * fu;
        out[at] = top + (bottom - top) * (v - j);
      } else {
        const cu = Math.max(0, Math.min(lastX, u));
        const cv = Math.max(0, Math.min(lastY, v));
        const i0 = Math.floor(cu);
        const j0 = Math.floor(cv);
        const i1 = Math.min(lastX, i0 + 1);
        const j1 = Math.min(lastY, j0 + 1);
        const read = (x: number, y: number): number => bytes[offset + y * stride + x * step] as number;
        const top = read(i0, j0) + (read(i1, j0) - read(i0, j0)) * (cu - i0);
        const bottom = read(i0, j1) + (read(i1, j1) - read(i0, j1)) * (cu - i0);
        out[at] = top + (bottom - top) * (cv - j0);
      }
    }
  }
  return out;
}

function blackenOutside(out: Float32Array, map: Affine, size: number, picture: Picture): void {
  const [a, b, c, d, e, f] = map;
  const inside = (row: number, column: number): boolean => {
    const x = a * column + b * row + c;
    const y = d * column + e * row + f;
    return x >= 0 && y >= 0 && x <= picture.codedWidth && y <= picture.codedHeight;
  };
  if (inside(0, 0) && inside(0, size) && inside(size, 0) && inside(size, size)) return;
  for (let row = 0; row < size; row += 1) {
    for (let column = 0; column < size; column += 1) {
      if (!inside(row + 0.5, column + 0.5)) out.fill(0, (row * size + column) * 3, (row * size + column) * 3 + 3);
    }
  }
}

/** The plane averaged over 2 × 2 samples, only where `window` (luma pixels) needs it. */
function halved(plane: Plane, window: Window): Plane {
  const { bytes, step, stride } = plane;
  const clamp = (value: number, limit: number): number => Math.max(0, Math.min(limit, value));
  const fullWidth = Math.max(1, plane.width >> 1);
  const fullHeight = Math.max(1, plane.height >> 1);
  const spanOut = plane.span * 2;
  const i0 = clamp(Math.floor((window.x0 - plane.firstX) / spanOut) - 2, fullWidth - 1);
  const j0 = clamp(Math.floor((window.y0 - plane.firstY) / spanOut) - 2, fullHeight - 1);
  const i1 = clamp(Math.ceil((window.x1 - plane.firstX) / spanOut) + 2, fullWidth - 1);
  const j1 = clamp(Math.ceil((window.y1 - plane.firstY) / spanOut) + 2, fullHeight - 1);
  const width = i1 - i0 + 1;
  const height = j1 - j0 + 1;
  const result = new Uint8Array(width * height);
  const right = plane.width > 1 ? step : 0;
  const down = plane.height > 1 ? stride : 0;
  for (let j = 0; j < height; j += 1) {
    let from = plane.offset + 2 * (j + j0) * stride + 2 * i0 * step;
    const to = j * width;
    for (let i = 0; i < width; i += 1, from += 2 * step) {
      result[to + i] = ((bytes[from] as number) + (bytes[from + right] as number)
        + (bytes[from + down] as number) + (bytes[from + down + right] as number) + 2) >> 2;
    }
  }
  return {
    bytes: result, offset: 0, stride: width, step: 1, width, height, span: spanOut,
    firstX: plane.firstX + plane.span / 2 + i0 * spanOut,
    firstY: plane.firstY + plane.span / 2 + j0 * spanOut,
  };
}
