import type { Picture } from './pose/picture.ts';

const BYTES = Array.from({ length: 256 }, (_, value) => value);
/** Luma 0 to 1 by the byte stored, of pictures in full and in limited range. */
const FULL = Float64Array.from(BYTES, (value) => value / 255);
const LIMITED = Float64Array.from(BYTES, (value) => Math.min(1, Math.max(0, (value - 16) / 219)));

/** Reads luma 0 to 1 of coded pixels of a picture; the pixels must lie inside it. */
export function lumaReader({ format, bytes, layout, range }: Picture): (column: number, row: number) => number {
  const [plane] = layout;
  if (plane === undefined) return () => 0;
  const { offset, stride } = plane;
  if (format === 'RGBA') {
    return (column, row) => {
      const at = offset + row * stride + column * 4;
      // Luma weights of ITU-R BT.709.
      return (0.2126 * (bytes[at] ?? 0) + 0.7152 * (bytes[at + 1] ?? 0) + 0.0722 * (bytes[at + 2] ?? 0)) / 255;
    };
  }
  const byByte = range === 'full' ? FULL : LIMITED;
  return (column, row) => byByte[bytes[offset + row * stride + column] ?? 0] ?? 0;
}
