import type { Picture } from './pose/picture.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** A clip shows the middle 16 : 9 of what a photo shows, at 1920 × 1080 on most phones. */
const CLIP_SHAPE = 16 / 9;
const CLIP_LONG_PX = 1920;
/** Diagonal of a 36 × 24 mm picture, to which equivalent focal lengths refer. */
const FULL_FRAME_DIAGONAL_MM = Math.hypot(36, 24);

/** A photo as a clip from the same place would show it. */
export interface Photo {
  readonly picture: Picture;
  /** Focal length in pixels of the picture, null where the file does not state it. */
  readonly focalPx: number | null;
  readonly canvas: OffscreenCanvas;
}

/** Whether a file says of itself that it is a photo. */
export function isPhoto(file: Pick<File, 'type' | 'name'>): boolean {
  return file.type.startsWith('image/') || (file.type === '' && /\.(jpe?g|png|webp|avif|hei[cf])$/i.test(file.name));
}

/** The part of a photo that a clip would show, and the size at which it would; smaller photos are not blown up. */
export function clipShape(widthPx: number, heightPx: number): { readonly x: number; readonly y: number; readonly width: number; readonly height: number; readonly scale: number } {
  const [long, short] = widthPx >= heightPx ? [widthPx, heightPx] : [heightPx, widthPx];
  const cut = long / short > CLIP_SHAPE ? { long: short * CLIP_SHAPE, short } : { long, short: long / CLIP_SHAPE };
  const [width, height] = widthPx >= heightPx ? [cut.long, cut.short] : [cut.short, cut.long];
  return { x: (widthPx - width) / 2, y: (heightPx - height) / 2, width, height, scale: Math.min(1, CLIP_LONG_PX / cut.long) };
}

/** Decodes a photo upright; the problem when this browser cannot. */
export async function readPhoto(file: File): Promise<Outcome<Photo>> {
  if (file.size === 0) return failure({ kind: 'empty-file', fileName: file.name });
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
  } catch (error) {
    // The decoder tells broken and unknown pictures by one kind of error.
    if (error instanceof DOMException) return failure({ kind: 'picture-unreadable', fileName: file.name });
    throw error;
  }
  const shape = clipShape(bitmap.width, bitmap.height);
  const [width, height] = [Math.max(1, Math.round(shape.width * shape.scale)), Math.max(1, Math.round(shape.height * shape.scale))];
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (context === null) throw new TypeError('this browser gives no 2-D canvas in a worker');
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, shape.x, shape.y, shape.width, shape.height, 0, 0, width, height);
  const diagonalPx = Math.hypot(bitmap.width, bitmap.height);
  bitmap.close();
  const { data } = context.getImageData(0, 0, width, height);
  const equivalentMm = await statedMm(file);
  return success({
    canvas,
    focalPx: equivalentMm === null ? null : (equivalentMm / FULL_FRAME_DIAGONAL_MM) * diagonalPx * shape.scale,
    picture: {
      format: 'RGBA', codedWidth: width, codedHeight: height, bytes: data, layout: [{ offset: 0, stride: width * 4 }],
      matrix: 'bt709', range: 'full', rotationDeg: 0, widthPx: width, heightPx: height,
    },
  });
}

/** Full-frame equivalent focal length that a photo states (EXIF FocalLengthIn35mmFilm), millimetres; null without one. */
async function statedMm(file: File): Promise<number | null> {
  // Only photos need this library: it comes in a file of its own.
  const { load } = await import('exifreader');
  try {
    const value = load(await file.arrayBuffer())['FocalLengthIn35mmFilm']?.value;
    return typeof value === 'number' && value > 0 ? value : null;
  } catch {
    // A photo without readable metadata is the usual case: the library says so by throwing.
    return null;
  }
}
