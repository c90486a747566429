import { backgroundMotion } from '../clip/background-motion.ts';
import { LANDMARK_COUNT } from '../pose/landmarks.ts';
import type { Analysis } from '../reading/reading.ts';
import { failure, success, type Outcome } from '../units/outcome.ts';
import type { ClipInfo } from '../clip/clip-info.ts';
import type { Backend, Followed, Region, TrackerState } from '../../workers/contract.ts';
import { isSamePerson, sameRegion } from '../../workers/same-region.ts';
import { HandsWatch } from '../../workers/watch-hands.ts';
import type { FoundAthlete } from './find-athlete.ts';

/** What is known of a clip before the athlete is followed. */
export interface Found extends FoundAthlete {
  readonly clip: ClipInfo;
  readonly backend: Backend;
  readonly engineVersion: string;
  readonly openMs: number;
  readonly prepareMs: number;
  readonly findMs: number;
}

/** Frames by which a run goes on into the next, so that the two can be joined where they agree (chosen: they agree within a few). */
export const OVERLAP_FRAMES = 16;
/** A run that begins in the middle loses as much time as so many frames take: it decodes from the key frame before, and finds the athlete. Measured: a sixth to a quarter of a second on two cores. */
const FRAMES_LATE = 6;
/** A run shorter than this is not worth a worker of its own, frames. */
const SHORTEST_RUN = 40;

/** Places, among the frames to measure, from which (inclusive) to which (exclusive) the athlete is followed at a stretch. */
export interface Run {
  readonly from: number;
  readonly to: number;
}

/** How a clip's frames are divided. */
export interface Division {
  readonly runs: readonly Run[];
  /**
   * Whoever follows the athlete begins anew in the middle, so that two runs which meet there need not agree first. It is the
   * same place for any number of runs: so is what is measured. Null in a short clip.
   */
  readonly anewAt: number | null;
}

/**
 * Cuts the frames to measure, of which the `likelyNeeded` first ones are shared so that all end at once, into at most `count`
 * runs; the last goes on to the end, the others by 16 frames into the next, or by one frame where the next begins anew.
 */
export function divideFrames(frames: number, count: number, likelyNeeded: number = frames): Division {
  if (!(count >= 1)) throw new RangeError(`at least one run, got ${count}`);
  const needed = Math.min(likelyNeeded, frames);
  const most = Math.max(1, Math.floor(needed / SHORTEST_RUN));
  const runs = Math.min(count, most);
  const place = (share: number): number => Math.round(FRAMES_LATE + (needed - FRAMES_LATE) * share);
  const anewAt = most === 1 ? null : place(1 / 2);
  const cut = (i: number): number => (i === 0 ? 0 : i === runs ? frames : place(i / runs));
  return {
    runs: Array.from({ length: runs }, (_, i) => ({ from: cut(i), to: Math.min(frames, cut(i + 1) + (cut(i + 1) === anewAt ? 1 : OVERLAP_FRAMES)) })),
    anewAt,
  };
}

/** Runs of one clip joined so far: exactly what a single run would have given up to their end. */
export interface Joined {
  readonly runs: readonly Followed[];
  /** Place, among the frames to measure, after the last one joined. */
  readonly end: number;
}

/**
 * Joins the next run, which began at place `nextFrom` from the path alone, where it holds exactly the same regions
 * as the joined ones in two frames running: from there on every number is the same. Null when they never agree.
 */
export function joinRun(joined: Joined, next: Followed, nextFrom: number): Joined | null {
  const last = joined.runs.at(-1);
  if (last === undefined) return { runs: [next], end: nextFrom + next.times.length };
  const shared = joined.end - nextFrom;
  const lastFrom = joined.end - last.times.length;
  for (let i = 1; i < Math.min(shared, next.times.length); i += 1) {
    const here = nextFrom + i - lastFrom;
    if (sameRegion(last.regions, here, next.regions, i) && sameRegion(last.regions, here - 1, next.regions, i - 1)) {
      return { runs: [...joined.runs.slice(0, -1), part(last, 0, here + 1), part(next, i + 1, next.times.length)], end: nextFrom + next.times.length };
    }
  }
  return null;
}

/**
 * Joins the next run where it begins anew, at place `nextFrom`, which is the last frame of the joined ones. Null when these end
 * before, or when the next holds somebody else there: then whoever is alone with the clip does not begin anew either.
 */
export function joinAnew(joined: Joined, next: Followed, nextFrom: number): Joined | null {
  const last = joined.runs.at(-1);
  if (last === undefined || joined.end !== nextFrom + 1) return null;
  const shared = last.times.length - 1;
  if (!isSamePerson(regionIn(last, shared), regionIn(next, 0))) return null;
  // The next run holds the background against this frame; how it came to lie here is known to the one before.
  const backgroundSteps = next.backgroundSteps.slice();
  backgroundSteps.set(last.backgroundSteps.subarray(shared * 3));
  return { runs: [...joined.runs.slice(0, -1), part(last, 0, shared), { ...next, backgroundSteps }], end: nextFrom + next.times.length };
}

/** What a tracker holds after the last joined frame, to go on from; null when the athlete was not seen in it. */
export function stateAtEnd(joined: Joined): TrackerState | null {
  const regions = joined.runs.flatMap((run) => Array.from(run.times, (t, frame) => ({ t, crop: regionIn(run, frame) })));
  const seen = regions.filter((one): one is { readonly t: number; readonly crop: Region } => one.crop !== null);
  const last = seen.at(-1);
  if (last === undefined || last !== regions.at(-1)) return null;
  return { last, before: seen.at(-2) ?? null };
}

/** The region that one frame of a run gave the next; null in a gap. */
function regionIn({ regions }: Followed, frame: number): Region | null {
  const [centreX = Number.NaN, centreY = Number.NaN, sidePx = Number.NaN, rotationRad = Number.NaN] = regions.subarray(frame * 4, frame * 4 + 4);
  return Number.isNaN(centreX) ? null : { centreX, centreY, sidePx, rotationRad };
}

/** Frames `from` to `to` of a run; the times spent stay whole with its first part. */
function part(run: Followed, from: number, to: number): Followed {
  return {
    ...run,
    times: run.times.slice(from, to),
    xy: run.xy.slice(from * LANDMARK_COUNT * 2, to * LANDMARK_COUNT * 2),
    score: run.score.slice(from * LANDMARK_COUNT, to * LANDMARK_COUNT),
    sd: run.sd.slice(from * LANDMARK_COUNT, to * LANDMARK_COUNT),
    regions: run.regions.slice(from * 4, to * 4),
    heightPx: run.heightPx.slice(from, to),
    brightness: run.brightness.slice(from, to),
    sharpness: run.sharpness.slice(from, to),
    backgroundSteps: run.backgroundSteps.slice(from * 3, to * 3),
    failedAtS: to === run.times.length ? run.failedAtS : null,
  };
}

/** True once the joined runs hold the hands and the moment after them, or end where the decoder gave up: nothing later is needed. */
export function isComplete(joined: Joined, endAfterHands: boolean): boolean {
  return joined.runs.at(-1)?.failedAtS != null || (endAfterHands && framesUntilHands(joined.runs) !== null);
}

/** Frames until soon after the hands, null when that was not seen. */
function framesUntilHands(runs: readonly Followed[]): number | null {
  const watch = new HandsWatch();
  let count = 0;
  for (const run of runs) {
    for (let frame = 0; frame < run.times.length; frame += 1) {
      const t = run.times[frame] ?? Number.NaN;
      if (watch.isOver(t)) return count;
      const xy = run.xy.subarray(frame * LANDMARK_COUNT * 2, (frame + 1) * LANDMARK_COUNT * 2);
      watch.add(t, Number.isNaN(xy[0]) ? null : xy);
      count += 1;
    }
  }
  return null;
}

/** The analysis out of the joined runs of one clip. `totalMs` is the whole time, `workers` how many shared the work. */
export function mergeFollowed(found: Found, runs: readonly Followed[], totalMs: number, workers: number): Outcome<Analysis> {
  const stoppedAtS = runs.at(-1)?.failedAtS ?? null;
  const whole = runs.reduce((sum, run) => sum + run.times.length, 0);
  const untilHands = found.part.proposed ? framesUntilHands(runs) : null;
  const frames = untilHands ?? whole;
  if (frames === 0) return failure({ kind: 'decoder-failed', fileName: found.clip.fileName, atS: stoppedAtS ?? found.part.fromS });
  const join = (pick: (run: Followed) => Float32Array, each: number): Float32Array => {
    const joined = new Float32Array(whole * each);
    let at = 0;
    for (const run of runs) {
      joined.set(pick(run), at);
      at += pick(run).length;
    }
    return joined.slice(0, frames * each);
  };
  const times = Float64Array.from(runs.flatMap((run) => [...run.times]).slice(0, frames));
  const heightPx = join((run) => run.heightPx, 1);
  if (heightPx.every((value) => Number.isNaN(value))) return failure({ kind: 'nobody-found' });
  const background = backgroundMotion(runs.flatMap((run) => [...run.backgroundSteps]).slice(0, frames * 3), times, found.clip);
  const sum = (pick: (run: Followed) => number): number => runs.reduce((total, run) => total + pick(run), 0);
  return success({
    clip: found.clip,
    track: {
      times,
      widthPx: found.clip.widthPx,
      heightPx: found.clip.heightPx,
      xy: join((run) => run.xy, LANDMARK_COUNT * 2),
      score: join((run) => run.score, LANDMARK_COUNT),
      sd: join((run) => run.sd, LANDMARK_COUNT),
      model: runs[0]?.modelId ?? '',
      backend: found.backend,
    },
    people: found.people,
    part: { ...found.part, toS: untilHands === null ? found.part.toS : (times.at(-1) ?? found.part.toS) },
    stoppedAtS: untilHands === null ? stoppedAtS : null,
    quality: {
      athleteHeightPx: medianOf(heightPx),
      brightness: medianOf(join((run) => run.brightness, 1)),
      sharpness: medianOf(join((run) => run.sharpness, 1)),
      sharpnessByFrame: join((run) => run.sharpness, 1),
      ...(background === null ? {} : { background }),
    },
    profile: {
      openMs: found.openMs,
      prepareMs: found.prepareMs,
      findMs: found.findMs,
      decodeMs: sum((run) => run.decodeMs),
      copyMs: sum((run) => run.copyMs),
      inferMs: sum((run) => run.inferMs),
      qualityMs: sum((run) => run.qualityMs),
      totalMs,
      frames,
      workers,
    },
    engineVersion: found.engineVersion,
  });
}

/** Median of the numbers in an array, null when there is none. */
function medianOf(values: Float32Array): number | null {
  const sorted = values.filter((value) => !Number.isNaN(value)).sort();
  const middle = Math.floor(sorted.length / 2);
  const upper = sorted[middle];
  if (upper === undefined) return null;
  return sorted.length % 2 === 1 ? upper : ((sorted[middle - 1] ?? upper) + upper) / 2;
}
