import type { Picture } from './pose/picture.ts';
import { colourPlanes, rgbMatrix, type Plane } from './pose/colour-planes.ts';

/** A picture to show: width × height × 4. */
export interface Painted {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly rgba: Uint8ClampedArray<ArrayBuffer>;
}

/**
 * A picture as it is shown: turned and mirrored, at most `maxWidthPx` wide, never enlarged; every pixel the tent-weighted
 * mean of what it covers. Painted from the samples, because a browser that draws a decoded frame on a canvas in memory
 * keeps the whole frame in a cache for good: 8 MiB for every still of a clip of 1920 × 1080.
 */
export function paintUpright(picture: Picture, maxWidthPx: number): Painted {
  const { codedWidth, codedHeight, rotationDeg } = picture;
  const scale = Math.min(1, maxWidthPx / picture.widthPx);
  const widthPx = Math.max(1, Math.round(picture.widthPx * scale));
  const heightPx = Math.max(1, Math.round(picture.heightPx * scale));
  const isQuarter = rotationDeg === 90 || rotationDeg === 270;
  const [across, down] = isQuarter ? [heightPx, widthPx] : [widthPx, heightPx];
  const planes = colourPlanes(picture).map((plane) => ({
    plane,
    columns: shares(across, codedWidth, plane.width, plane.span, plane.firstX),
    rows: shares(down, codedHeight, plane.height, plane.span, plane.firstY),
    line: new Float32Array(plane.width),
    out: new Float32Array(across),
  }));
  const [yr, ur, vr, kr, yg, ug, vg, kg, yb, ub, vb, kb] = rgbMatrix(picture);
  const rgba = new Uint8ClampedArray(widthPx * heightPx * 4).fill(255);
  const first = placeOf(0, 0);
  const perColumn = across > 1 ? placeOf(1, 0) - first : 0;
  for (let row = 0; row < down; row += 1) {
    for (const each of planes) mixRow(each.plane, each.rows, row, each.columns, each.line, each.out);
    const [one, two, three] = planes.map(({ out }) => out) as [Float32Array, Float32Array, Float32Array];
    let at = placeOf(0, row) * 4;
    for (let column = 0; column < across; column += 1, at += perColumn * 4) {
      const y = one[column] as number;
      const u = two[column] as number;
      const v = three[column] as number;
      rgba[at] = 255 * (yr * y + ur * u + vr * v + kr);
      rgba[at + 1] = 255 * (yg * y + ug * u + vg * v + kg);
      rgba[at + 2] = 255 * (yb * y + ub * u + vb * v + kb);
    }
  }
  return { widthPx, heightPx, rgba };

  /** Place in the shown picture of a pixel of the stored one at the same scale. */
  function placeOf(column: number, row: number): number {
    const [x, y] = rotationDeg === 0 ? [column, row]
      : rotationDeg === 90 ? [down - 1 - row, column]
        : rotationDeg === 180 ? [across - 1 - column, down - 1 - row]
          : [row, across - 1 - column];
    return y * widthPx + (picture.isMirrored === true ? widthPx - 1 - x : x);
  }
}

/** Which samples each of a row of pixels is made of, and by how much; those of pixel i lie at `from[i]` to `from[i + 1]`. */
interface Shares {
  readonly from: Int32Array;
  readonly samples: readonly number[];
  readonly weights: readonly number[];
}

/** Shares of `count` pixels that cover `size` luma pixels, out of `length` samples that span `span` of them, the first at `first`. */
function shares(count: number, size: number, length: number, span: number, first: number): Shares {
  const reach = Math.max(1, size / count / span);
  const from = new Int32Array(count + 1);
  const samples: number[] = [];
  const weights: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const centre = (((i + 0.5) * size) / count - first) / span;
    const start = samples.length;
    let sum = 0;
    for (let sample = Math.ceil(centre - reach); sample <= Math.floor(centre + reach); sample += 1) {
      const weight = 1 - Math.abs(sample - centre) / reach;
      if (weight <= 0) continue;
      // Beyond the border its last sample goes on.
      samples.push(Math.max(0, Math.min(length - 1, sample)));
      weights.push(weight);
      sum += weight;
    }
    for (let k = start; k < weights.length; k += 1) weights[k] = (weights[k] as number) / sum;
    from[i + 1] = samples.length;
  }
  return { from, samples, weights };
}

/** One row of pixels of a plane into `out`; `line` is room for one row of samples. */
function mixRow(plane: Plane, rows: Shares, row: number, columns: Shares, line: Float32Array, out: Float32Array): void {
  const { bytes, step } = plane;
  line.fill(0);
  for (let k = rows.from[row] as number; k < (rows.from[row + 1] as number); k += 1) {
    const weight = rows.weights[k] as number;
    let at = plane.offset + (rows.samples[k] as number) * plane.stride;
    for (let i = 0; i < line.length; i += 1, at += step) line[i] = (line[i] as number) + weight * (bytes[at] as number);
  }
  for (let i = 0; i < out.length; i += 1) {
    let sum = 0;
    for (let k = columns.from[i] as number; k < (columns.from[i + 1] as number); k += 1) {
      sum += (columns.weights[k] as number) * (line[columns.samples[k] as number] as number);
    }
    out[i] = sum;
  }
}
