/** How far the clip's timestamps can be trusted as real time. */
export type TimeBase =
  | { readonly kind: 'known' }
  | { readonly kind: 'assumed' }
  | { readonly kind: 'slowed'; readonly factor: number };

/** Facts of a clip read from its container, before any decoding. */
export interface ClipInfo {
  readonly fileName: string;
  readonly sizeBytes: number;
  /** Container format name, e.g. "MP4", "QuickTime", "WebM". */
  readonly container: string;
  /** Codec short name, e.g. "avc", "hevc", "vp9". */
  readonly codec: string;
  /** Display size after rotation, pixels. */
  readonly widthPx: number;
  readonly heightPx: number;
  /** Clockwise rotation in the container, degrees; already applied in widthPx and heightPx. */
  readonly rotationDeg: 0 | 90 | 180 | 270;
  /** Whether the container turns the picture over left to right after that; undone everywhere, as a player does. Left out by clips measured before it was read. */
  readonly isMirrored?: boolean;
  /** Focal length that the file states, millimetres full-frame equivalent; null when it states none, left out by clips measured before it was read. */
  readonly equivalentFocalMm?: number | null;
  /** Seconds from the first to the end of the last shown frame. */
  readonly durationS: number;
  /** Frames per second out of the presentation timestamps: slowest, median and fastest spacing. */
  readonly fps: { readonly min: number; readonly median: number; readonly max: number };
  readonly frameCount: number;
  /** True when the file is tagged as high dynamic range; false means "no or unknown". */
  readonly isHdr: boolean;
  readonly timeBase: TimeBase;
}
