import { frameSpacing } from './frame-spacing.ts';

/** One coordinate of one point through the clip. Channels take turns: x, y, x, y …; all x move together, and all y. */
export interface FamilyChannel {
  readonly values: Float64Array;
  /** One standard deviation of each sample, errors that last and errors that change from frame to frame together. */
  readonly sd: Float64Array;
}

/** One sample of one channel near an instant. */
export interface Sample {
  readonly t: number;
  readonly channel: number;
  readonly value: number;
  readonly sd: number;
  /** 1, less for a slip. */
  trust: number;
}

/** How far from the instant samples are looked at, seconds. Chosen: where the family's own paths still say something. */
export const REACH_S = 0.085;
/** In slow clips so many frames are looked at all the same. Chosen: enough for place, speed and break of a path. */
const REACH_FRAMES = 3.6;
/** Shares of a sample's stated deviation that change from frame to frame, that stay, and that drift over the window. From 24 tracks against truth: neighbouring frames' errors correlate by 0.7, frames four apart by 0.5. */
export const QUICK_SHARE = 0.6;
export const LASTING_SHARE = 0.7;
export const DRIFT_SHARE = 0.4;
/** How far apart a channel's place may be anywhere in the picture, in units of the samples: as good as free. */
export const ANYWHERE = 10;
/** A sample beyond this many deviations counts no more than one at it. Chosen. */
const OUTLIER_SD = 2.5;

/** The samples around an instant, gaps (NaN) left out; null with fewer than two usable frames on either side, or five in all. */
export function samplesNear(times: Float64Array, channels: readonly FamilyChannel[], near: number): Sample[] | null {
  const samples: Sample[] = [];
  const frames = new Set<number>();
  const reachS = Math.max(REACH_S, REACH_FRAMES * frameSpacing(times, near));
  times.forEach((t, i) => {
    if (Math.abs(t - near) > reachS) return;
    channels.forEach(({ values, sd }, channel) => {
      const value = values[i]!;
      const deviation = sd[i]!;
      if (!Number.isFinite(value) || !(deviation > 0)) return;
      samples.push({ t, channel, value, sd: deviation, trust: 1 });
      frames.add(i);
    });
  });
  const before = [...frames].filter((i) => times[i]! <= near).length;
  return before < 2 || frames.size - before < 2 || frames.size < 5 ? null : samples;
}

/** Trusts samples less that even the best member leaves far off, in quick deviations: they are slips of the model. */
export function distrustSlips(samples: readonly Sample[], residuals: Float64Array): void {
  samples.forEach((sample, k) => {
    const off = Math.abs(residuals[k]!);
    if (off > OUTLIER_SD) sample.trust = OUTLIER_SD / off;
  });
}
