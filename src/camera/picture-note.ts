import type { MomentId } from '../phases/moment.ts';

/** Parts of the body that a picture may cut off. */
export type CutPart = 'hands' | 'feet' | 'head';

/** What is wrong with a clip's pictures, with the figures needed to say it. The words live in src/cues/quality-words.ts. */
export type PictureFault =
  /** Height of the athlete in the picture, and from which height on nothing is lost. */
  | { readonly kind: 'athlete-too-small'; readonly heightPx: number; readonly wantedPx: number }
  /** Share of the sharpness of the still athlete that is left while moving fast, 0 to 1. */
  | { readonly kind: 'blurred'; readonly shareLeft: number }
  /** Sharpness around the athlete; nowhere crisp: out of focus or a dirty lens. */
  | { readonly kind: 'soft'; readonly sharpness: number }
  /** Median luma around the athlete, 0 to 1. */
  | { readonly kind: 'dim'; readonly brightness: number }
  /** Which parts leave the picture, and at which key moments. */
  | { readonly kind: 'cropped'; readonly parts: readonly CutPart[]; readonly moments: readonly MomentId[] }
  /** How much of the athlete's box someone else covers at most, 0 to 1, and when. */
  | { readonly kind: 'person-crossing'; readonly share: number; readonly atS: number }
  /** Pictures a second of real time. */
  | { readonly kind: 'few-frames'; readonly fps: number }
  /** The farthest that the background moved, in pixels and in leg lengths; it was taken out of the track. */
  | { readonly kind: 'camera-shake'; readonly removedPx: number; readonly removedLeg: number }
  /** How far off side-on, with one standard deviation. */
  | { readonly kind: 'off-side'; readonly yawDeg: number; readonly sdDeg: number }
  /** How far the camera was tipped sideways. */
  | { readonly kind: 'tipped'; readonly rollDeg: number }
  /** How far the camera looked down, negative up, with one standard deviation. */
  | { readonly kind: 'looking-down'; readonly tiltDeg: number; readonly sdDeg: number }
  /** Before filming: room that arms overhead, or hands on the floor in front, still need, in the athlete's heights. */
  | { readonly kind: 'no-headroom'; readonly missingHeights: number }
  | { readonly kind: 'no-room-ahead'; readonly missingHeights: number }
  /** Before filming: how far away the camera stands, in the athlete's heights, and how far it should. */
  | { readonly kind: 'too-near'; readonly heights: number; readonly wantedHeights: number }
  /** Before filming: how many people are in view beside the athlete. */
  | { readonly kind: 'others-in-view'; readonly count: number }
  | { readonly kind: 'nobody-seen' };

/** 'hint': the figures stand, next time can be better. 'poor': some figures suffer or are left out. */
export type Severity = 'hint' | 'poor';

/** One note on the pictures. */
export type PictureNote = PictureFault & { readonly severity: Severity };
