/** Position of one plane inside the bytes of a picture, as WebCodecs' `copyTo` returns it. */
export interface PlaneLayout {
  /** Offset of the first byte of the plane. */
  readonly offset: number;
  /** Bytes from the start of one row to the start of the next. */
  readonly stride: number;
}

/** Red, green and blue side by side, a fourth byte after them that does not count. */
export type ColourOrder = 'RGBA' | 'BGRA';

/** Bytes of red, green and blue in a pixel. */
const COLOUR_BYTES: Readonly<Record<ColourOrder, readonly [number, number, number]>> = { RGBA: [0, 1, 2], BGRA: [2, 1, 0] };

/** Where red, green and blue lie in a pixel of this format, null where luma and chroma have planes of their own. */
export function colourBytes(format: Picture['format']): readonly [number, number, number] | null {
  return format === 'I420' || format === 'NV12' ? null : COLOUR_BYTES[format];
}

/**
 * A decoded picture in memory.
 *
 * The bytes are as the decoder gave them (`codedWidth` × `codedHeight`); everything that speaks of positions uses
 * display pixels: the coded picture turned clockwise by `rotationDeg` once, then turned over left to right if it is
 * mirrored, and stretched to `widthPx` × `heightPx`.
 */
export interface Picture {
  readonly format: 'I420' | 'NV12' | ColourOrder;
  /** Width of the shown part of the coded picture in luma samples. */
  readonly codedWidth: number;
  /** Height of the shown part of the coded picture in luma samples. */
  readonly codedHeight: number;
  readonly bytes: Uint8Array | Uint8ClampedArray;
  /** I420: Y, U, V. NV12: Y, UV. Colours side by side: one plane. */
  readonly layout: readonly PlaneLayout[];
  /** Luma matrix; ignored where colours lie side by side. */
  readonly matrix: 'bt709' | 'bt601';
  /** Luma range; ignored where colours lie side by side. */
  readonly range: 'limited' | 'full';
  /** Clockwise turn that brings the coded picture upright. */
  readonly rotationDeg: 0 | 90 | 180 | 270;
  /** Whether the picture is turned over left to right after the turn; left out, it is not. */
  readonly isMirrored?: boolean;
  /** Displayed width in pixels, after the turn. */
  readonly widthPx: number;
  /** Displayed height in pixels, after the turn. */
  readonly heightPx: number;
}

/** An affine map (x, y) → (a·x + b·y + c, d·x + e·y + f) as [a, b, c, d, e, f]. */
export type Affine = readonly [number, number, number, number, number, number];

/** The map that first applies `inner`, then `outer`. */
export function composeAffine(outer: Affine, inner: Affine): Affine {
  const [a, b, c, d, e, f] = outer;
  const [p, q, r, s, t, u] = inner;
  return [a * p + b * s, a * q + b * t, a * r + b * u + c, d * p + e * s, d * q + e * t, d * r + e * u + f];
}

/** The inverse of an affine map. Throws RangeError when the map flattens the plane. */
export function invertAffine(map: Affine): Affine {
  const [a, b, c, d, e, f] = map;
  const det = a * e - b * d;
  if (!(Math.abs(det) > 0)) throw new RangeError('the map cannot be inverted');
  return [e / det, -b / det, (b * f - c * e) / det, -d / det, a / det, (c * d - a * f) / det];
}

/** The map from display pixels to coded luma pixels (both with pixel centres at .5). */
export function displayToCoded(picture: Picture): Affine {
  const turned = turnedToCoded(picture);
  return picture.isMirrored === true ? composeAffine(turned, [-1, 0, picture.widthPx, 0, 1, 0]) : turned;
}

function turnedToCoded(picture: Picture): Affine {
  const { codedWidth: w, codedHeight: h, widthPx, heightPx } = picture;
  const sx = 1 / widthPx;
  const sy = 1 / heightPx;
  switch (picture.rotationDeg) {
    case 0: return [w * sx, 0, 0, 0, h * sy, 0];
    case 90: return [0, w * sy, 0, -h * sx, 0, h];
    case 180: return [-w * sx, 0, w, 0, -h * sy, h];
    case 270: return [0, -w * sy, w, h * sx, 0, 0];
  }
}
