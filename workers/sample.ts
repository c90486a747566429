import type { PoseTrack } from '../src/pose/pose-track.ts';
import type { BackgroundMotion } from '../src/clip/picture-quality.ts';

/** A photo, or the first second of a clip, looked at before filming. */
export interface Sample {
  readonly isStill: boolean;
  /** The biggest person in view; empty of positions when nobody was seen. */
  readonly track: PoseTrack;
  readonly brightness: number | null;
  readonly sharpness: number | null;
  readonly sharpnessByFrame: Float32Array;
  /** Null for a photo. */
  readonly background: BackgroundMotion | null;
  /** Pictures a second, null for a photo. */
  readonly fps: number | null;
  /** Focal length in pixels of the sample's picture, where the file states it. */
  readonly focalPx: number | null;
  /** People in view beside the one looked at. */
  readonly others: number;
  /** The picture of the track's last frame, to be shown; whoever receives it closes it. */
  readonly picture: ImageBitmap;
}
