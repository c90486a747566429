import type { TimeBase } from '../clip/clip-info.ts';
import type { FallCheck } from '../phases/fall-check.ts';

/** On what a time base rests. */
export type TimeBasis = 'stated' | 'file' | 'frame-rate' | 'fall' | 'none';

/** A time base and on what it rests. */
export interface SettledTimeBase {
  readonly timeBase: TimeBase;
  readonly basis: TimeBasis;
}

/** Phones flatten slow motion to 24, 25 or 30 frames a second; a file that plays more than this is not flattened. */
const FLATTENED_AT_MOST_FPS = 45;
/** The mildest slow motion that phones make is ×2 (60 shown at 30): a clip is real time when even ×1.6 can be ruled out. Chosen between. */
const REAL_TIME_BELOW = 1.6;

/**
 * Settles a clip's time base: what the user stated, what the file states, the fall of the body, the frame rate, in that order.
 * "Assumed" remains when none of them tells: then no time and no speed is shown.
 */
export function settleTimeBase(
  stated: TimeBase | undefined,
  clip: { readonly timeBase: TimeBase; readonly fps?: { readonly median: number } },
  fall: FallCheck | null,
): SettledTimeBase {
  if (stated !== undefined) return { timeBase: stated, basis: 'stated' };
  if (clip.timeBase.kind !== 'assumed') return { timeBase: clip.timeBase, basis: 'file' };
  if (fall !== null) {
    if (fall.ci95[0] > 1.2) return { timeBase: clip.timeBase, basis: 'none' };
    if (fall.ci95[1] < REAL_TIME_BELOW) return { timeBase: { kind: 'known' }, basis: 'fall' };
  }
  if ((clip.fps?.median ?? 0) > FLATTENED_AT_MOST_FPS) return { timeBase: { kind: 'known' }, basis: 'frame-rate' };
  return { timeBase: clip.timeBase, basis: 'none' };
}
