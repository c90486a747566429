import { colourBytes, type Picture } from './pose/picture.ts';

const BYTES = Array.from({ length: 256 }, (_, value) => value);
/** Luma 0 to 1 by the byte stored, of pictures in full and in limited range. */
const FULL = Float64Array.from(BYTES, (value) => value / 255);
const LIMITED = Float64Array.from(BYTES, (value) => Math.min(1, Math.max(0, (value - 16) / 219)));

/** Reads luma 0 to 1 of coded pixels of a picture; the pixels must lie inside it. */
export function lumaReader({ format, bytes, layout, range }: Picture): (column: number, row: number) => number {
  const [plane] = layout;
  if (plane === undefined) return () => 0;
  const { offset, stride } = plane;
  const colours = colourBytes(format);
  if (colours !== null) {
    const [red, green, blue] = colours;
    return (column, row) => {
      const at = offset + row * stride + column * 4;
      // Luma weights of ITU-R BT.709.
      return (0.2126 * (bytes[at + red] ?? 0) + 0.7152 * (bytes[at + green] ?? 0) + 0.0722 * (bytes[at + blue] ?? 0)) / 255;
    };
  }
  const byByte = range === 'full' ? FULL : LIMITED;
  return (column, row) => byByte[bytes[offset + row * stride + column] ?? 0] ?? 0;
}

/**
 * Mean luma 0 to 1 of squares of `scale` coded pixels: `columns` × `rows` of them from the given one on, rows one after the
 * other; they must lie inside the picture.
 */
export function meanLuma(picture: Picture, scale: number, column: number, row: number, columns: number, rows: number): Float32Array {
  const means = new Float32Array(columns * rows);
  const { format, bytes, layout: [plane], range } = picture;
  if (plane === undefined) return means;
  const share = 1 / (scale * scale);
  if (colourBytes(format) !== null) {
    const lumaAt = lumaReader(picture);
    for (let k = 0; k < means.length; k += 1) {
      const [left, top] = [(column + (k % columns)) * scale, (row + Math.floor(k / columns)) * scale];
      let sum = 0;
      for (let y = top; y < top + scale; y += 1) for (let x = left; x < left + scale; x += 1) sum += lumaAt(x, y);
      means[k] = sum * share;
    }
    return means;
  }
  // Each row of pixels in turn, so that the bytes are read as they lie.
  const byByte = range === 'full' ? FULL : LIMITED;
  for (let y = 0; y < rows * scale; y += 1) {
    let from = plane.offset + (row * scale + y) * plane.stride + column * scale;
    const line = Math.floor(y / scale) * columns;
    for (let i = 0; i < columns; i += 1) {
      let sum = 0;
      for (const end = from + scale; from < end; from += 1) sum += byByte[bytes[from]!]!;
      means[line + i]! += sum * share;
    }
  }
  return means;
}
