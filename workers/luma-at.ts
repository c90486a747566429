import type { Picture } from './pose/picture.ts';

/** Luma 0 to 1 of a coded pixel; the pixel lies inside the picture. */
export function lumaAt(picture: Picture, column: number, row: number): number {
  const plane = picture.layout[0];
  if (plane === undefined) return 0;
  if (picture.format === 'RGBA') {
    const at = plane.offset + row * plane.stride + column * 4;
    const { bytes } = picture;
    // Luma weights of ITU-R BT.709.
    return (0.2126 * (bytes[at] ?? 0) + 0.7152 * (bytes[at + 1] ?? 0) + 0.0722 * (bytes[at + 2] ?? 0)) / 255;
  }
  const value = picture.bytes[plane.offset + row * plane.stride + column] ?? 0;
  return picture.range === 'full' ? value / 255 : Math.min(1, Math.max(0, (value - 16) / 219));
}
