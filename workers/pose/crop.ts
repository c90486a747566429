import type { Affine } from './picture.ts';

/** Side of the square that the landmark models read, in pixels. */
export const CROP_PX = 256;

/**
 * Margin around the body circle with which the landmark models were trained
 * (Bazarevsky et al. 2020, arXiv 2006.10204; the package's RectTransformation of 1.25).
 */
const CROP_MARGIN = 1.25;

/** A square region of a picture in display pixels, turned clockwise by `rotationRad`. */
export interface Crop {
  readonly centreX: number;
  readonly centreY: number;
  readonly sidePx: number;
  /** Clockwise turn of the region in radians, (−π, π]; 0 = upright. The body stands upright inside the region. */
  readonly rotationRad: number;
}

/** A point of a picture in display pixels. */
export interface PicturePoint {
  readonly x: number;
  readonly y: number;
}

/** An upright box in display pixels. */
export interface PictureBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

function turnWithinHalf(angle: number): number {
  return angle - 2 * Math.PI * Math.floor((angle + Math.PI) / (2 * Math.PI));
}

/**
 * The region around a body from the model's two alignment points: the hip centre and the point that gives size and
 * direction (above the hips when upright, at the radius of the body's circle). Null when the two coincide.
 */
export function cropFromAlignment(hipCentre: PicturePoint, scalePoint: PicturePoint): Crop | null {
  const dx = scalePoint.x - hipCentre.x;
  const dy = scalePoint.y - hipCentre.y;
  const radius = Math.hypot(dx, dy);
  if (!(radius > 0)) return null;
  return {
    centreX: hipCentre.x,
    centreY: hipCentre.y,
    sidePx: 2 * radius * CROP_MARGIN,
    rotationRad: turnWithinHalf(Math.PI / 2 - Math.atan2(-dy, dx)),
  };
}

/** The upright region around a person's box: its centre, its longer side, the model's margin. Null for an empty box. */
export function cropFromBox(box: PictureBox): Crop | null {
  const side = Math.max(box.width, box.height);
  if (!(side > 0)) return null;
  return {
    centreX: box.x + box.width / 2,
    centreY: box.y + box.height / 2,
    sidePx: side * CROP_MARGIN,
    rotationRad: 0,
  };
}

/** The map from crop pixels (0 to `size`, edges at 0 and `size`) to display pixels. */
export function cropToPicture(crop: Crop, size: number = CROP_PX): Affine {
  const scale = crop.sidePx / size;
  const cos = Math.cos(crop.rotationRad) * scale;
  const sin = Math.sin(crop.rotationRad) * scale;
  const half = size / 2;
  return [
    cos, -sin, crop.centreX - half * cos + half * sin,
    sin, cos, crop.centreY - half * sin - half * cos,
  ];
}

/** The map from display pixels to crop pixels. Throws RangeError for an empty crop. */
export function pictureToCrop(crop: Crop, size: number = CROP_PX): Affine {
  if (!(crop.sidePx > 0)) throw new RangeError(`a crop needs a side, got ${crop.sidePx}`);
  const scale = size / crop.sidePx;
  const cos = Math.cos(crop.rotationRad) * scale;
  const sin = Math.sin(crop.rotationRad) * scale;
  const half = size / 2;
  return [
    cos, sin, half - cos * crop.centreX - sin * crop.centreY,
    -sin, cos, half + sin * crop.centreX - cos * crop.centreY,
  ];
}
