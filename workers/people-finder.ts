import { CROP_PX, type Crop, type PictureBox } from './pose/crop.ts';
import type { CropSampler } from './pose/kernel-sampler.ts';
import type { Picture } from './pose/picture.ts';

/** A body point below this is not used for the box (chosen: the model's own threshold for its crops). */
const MIN_POINT_SCORE = 0.2;
/** A person below this mean score is not reported (chosen low: linking over time throws out chance finds). */
export const MIN_PERSON_SCORE = 0.15;
/** Fewest points that make a box. */
const MIN_POINTS = 6;

/** One person seen in one picture. */
export interface FoundPerson {
  /** Box around the body's points in display pixels. */
  readonly box: PictureBox;
  /** 0 to 1. */
  readonly score: number;
}

/** Finds people in whole pictures. */
export interface PeopleFinder {
  find(picture: Picture): Promise<readonly FoundPerson[]>;
  dispose(): void;
}

/** A person as the model saw it in the square picture. */
export interface PoseSeen {
  /** 0 to 1. */
  readonly score?: number;
  /** Body points in pixels of the square. */
  readonly keypoints: readonly { readonly x: number; readonly y: number; readonly score?: number }[];
}

/** Sees people in a square picture of 256 × 256 × 3 numbers from 0 to 1. */
export interface PeopleSeer {
  see(pixels: Float32Array): Promise<readonly PoseSeen[]>;
  /** Frees the weights. */
  dispose(): void;
}

/** Finds people in pictures of any size, by what the seer sees in the whole picture fitted into its square. */
export function peopleFinder(seer: PeopleSeer, sample: CropSampler): PeopleFinder {
  return {
    async find(picture) {
      const sidePx = Math.max(picture.widthPx, picture.heightPx);
      const crop = { centreX: picture.widthPx / 2, centreY: picture.heightPx / 2, sidePx, rotationRad: 0 };
      const poses = await seer.see(sample(picture, crop, false));
      return poses.flatMap((pose) => person(pose, crop) ?? []);
    },
    dispose: () => { seer.dispose(); },
  };
}

function person({ score = 0, keypoints }: PoseSeen, { centreX, centreY, sidePx }: Crop): FoundPerson | null {
  if (score < MIN_PERSON_SCORE) return null;
  const points = keypoints.filter((point) => (point.score ?? 0) >= MIN_POINT_SCORE);
  if (points.length < MIN_POINTS) return null;
  const xs = points.map(({ x }) => centreX + (x / CROP_PX - 0.5) * sidePx);
  const ys = points.map(({ y }) => centreY + (y / CROP_PX - 0.5) * sidePx);
  const x = Math.min(...xs);
  const y = Math.min(...ys);
  return { box: { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y }, score };
}
