import type { PersonPath } from './contract.ts';

/** Longest part measured in one analysis, seconds (chosen: ten minutes, far more than a pass). */
export const MAX_PART_S = 600;
/** A clip up to this long is measured whole, seconds (chosen: a rep filmed tightly). */
export const WHOLE_CLIP_S = 4;
/** Kept before the first movement, seconds (the still stance is measured too). */
const LEAD_IN_S = 1.2;
/** Longest time from the first movement to the hands, seconds (chosen: a two-step run takes about 1.5). */
const LONGEST_START_S = 4;
/** Slower than this many body heights a second counts as standing (chosen: sway and box noise stay below). */
const STILL_HEIGHTS_PER_S = 0.35;
/** A stance lasts at least this long, seconds. */
const STANCE_S = 0.35;

/** A stretch of time in clip seconds. */
export interface Span {
  readonly fromS: number;
  readonly toS: number;
}

/** The part of a clip that holds the start. */
export interface StartPart extends Span {
  /** About when the travel begins, null where the whole clip is the part. */
  readonly onsetS: number | null;
}

/**
 * The part of a clip that holds the start, from 1.2 s before the travel begins; the whole clip when it is short.
 * It looks for the fastest travel of the path and goes back from there to the last time the athlete stood still.
 */
export function findPart(path: PersonPath, durationS: number): StartPart {
  if (durationS <= WHOLE_CLIP_S || path.sightings.length < 3) return { fromS: 0, toS: durationS, onsetS: null };
  const speeds = travelSpeeds(path);
  const peak = fastest(speeds);
  const peakT = speeds[peak]?.t ?? 0;
  let onsetS = Math.max(0, peakT - LONGEST_START_S);
  for (let i = peak; i >= 0; i -= 1) {
    const entry = speeds[i];
    if (entry === undefined || entry.heightsPerS > STILL_HEIGHTS_PER_S) continue;
    // Still here; a stance when it was still for a while before.
    const stanceStart = entry.t - STANCE_S;
    const calm = speeds.filter((s) => s.t >= stanceStart && s.t <= entry.t).every((s) => s.heightsPerS <= STILL_HEIGHTS_PER_S);
    if (calm) {
      onsetS = entry.t;
      break;
    }
  }
  return { fromS: Math.max(0, onsetS - LEAD_IN_S), toS: Math.min(durationS, Math.max(peakT, onsetS) + LONGEST_START_S), onsetS };
}

/**
 * The stretch of a long clip that is worth a closer look, out of a coarse path: around its fastest travel, wide enough
 * to hold the whole start even when the coarse sightings are `stepS` seconds apart.
 */
export function findStretch(path: PersonPath, durationS: number, stepS: number): Span {
  const speeds = travelSpeeds(path);
  const peakT = speeds[fastest(speeds)]?.t ?? path.sightings[0]?.t ?? 0;
  return { fromS: Math.max(0, peakT - LONGEST_START_S - stepS / 2), toS: Math.min(durationS, peakT + LONGEST_START_S / 2 + stepS) };
}

/**
 * Where in a coarse path the travel begins: from the last interval without travel ahead of the fastest one to the end of the
 * interval after it; where the athlete travels all the time, everything up to the fastest. And the travel as a whole, from
 * there to the end of the fastest.
 */
export function findOnset(path: PersonPath): { readonly onset: Span; readonly travel: Span } {
  const speeds = travelSpeeds(path);
  const peak = fastest(speeds);
  let still = peak - 1;
  while (still >= 0 && (speeds[still]?.heightsPerS ?? 0) > STILL_HEIGHTS_PER_S) still -= 1;
  // Speed i is that between sightings i and i + 1.
  const seenAt = (sighting: number): number => path.sightings[Math.min(sighting, path.sightings.length - 1)]?.t ?? 0;
  const peakT = speeds[peak]?.t ?? 0;
  const travel = { fromS: still < 0 ? Math.max(seenAt(0), peakT - LONGEST_START_S) : seenAt(still), toS: seenAt(peak + 1) };
  return { onset: still < 0 ? travel : { fromS: travel.fromS, toS: seenAt(still + 2) }, travel };
}

function fastest(speeds: readonly { readonly heightsPerS: number }[]): number {
  let peak = 0;
  speeds.forEach((entry, i) => {
    if (entry.heightsPerS > (speeds[peak]?.heightsPerS ?? 0)) peak = i;
  });
  return peak;
}

/** Horizontal speed of the box centre between sightings in median box heights a second, at the middle of each interval. */
export function travelSpeeds(path: PersonPath): readonly { readonly t: number; readonly heightsPerS: number }[] {
  const sizes = path.sightings.map(({ box }) => Math.max(box.width, box.height)).sort((a, b) => a - b);
  const size = Math.max(sizes[Math.floor(sizes.length / 2)] ?? 1, 1);
  const speeds: { t: number; heightsPerS: number }[] = [];
  for (let i = 1; i < path.sightings.length; i += 1) {
    const a = path.sightings[i - 1];
    const b = path.sightings[i];
    if (a === undefined || b === undefined) continue;
    const moved = Math.abs(b.box.x + b.box.width / 2 - a.box.x - a.box.width / 2);
    speeds.push({ t: (a.t + b.t) / 2, heightsPerS: moved / size / (b.t - a.t) });
  }
  return speeds;
}
