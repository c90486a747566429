/** How strongly a lens enlarges: its focal length in display pixels, and how sure that is. */
export interface Lens {
  readonly focalPx: number;
  /** One relative standard deviation of the focal length. */
  readonly relativeSd: number;
}

/**
 * Focal length over the picture's longer side of a phone's main camera while filming: about 26 mm full-frame equivalent,
 * less what stabilisation crops. From memory, not checked; the spread covers 22 to 32 mm.
 */
const USUAL_FOCAL_SHARE = 0.85;
const USUAL_RELATIVE_SD = 0.2;
/** Diagonal of a 36 × 24 mm picture, to which equivalent focal lengths refer. */
const FULL_FRAME_DIAGONAL_MM = Math.hypot(36, 24);

/** The lens of an unknown phone for a picture of this display size. Throws RangeError unless both are positive. */
export function usualLens(widthPx: number, heightPx: number): Lens {
  if (!(widthPx > 0 && heightPx > 0)) throw new RangeError(`picture size must be positive, got ${widthPx} × ${heightPx}`);
  return { focalPx: USUAL_FOCAL_SHARE * Math.max(widthPx, heightPx), relativeSd: USUAL_RELATIVE_SD };
}

/** The lens that the file states for a picture of this display size; the usual phone's where it states none. */
export function lensOf(equivalentMm: number | null | undefined, widthPx: number, heightPx: number): Lens {
  return equivalentMm === null || equivalentMm === undefined ? usualLens(widthPx, heightPx) : lensFromEquivalent(equivalentMm, widthPx, heightPx);
}

/** The lens out of a file's full-frame equivalent focal length in millimetres (diagonal basis); the picture may be cropped from what it states, so 10 % stay unsure. */
export function lensFromEquivalent(equivalentMm: number, widthPx: number, heightPx: number): Lens {
  if (!(equivalentMm > 0)) throw new RangeError(`focal length must be positive, got ${equivalentMm}`);
  return { focalPx: (equivalentMm / FULL_FRAME_DIAGONAL_MM) * Math.hypot(widthPx, heightPx), relativeSd: 0.1 };
}
