import type { AnalysisRequest, Looked, Opened, PersonPath } from '../../workers/contract.ts';
import { findOnset, findPart, findStretch, MAX_PART_S, WHOLE_CLIP_S, type Span } from '../../workers/find-part.ts';
import { chooseAthlete, linkPeople, type Probe } from '../../workers/link-people.ts';
import type { PersonSighting } from '../reading/reading.ts';
import { failure, success, type Outcome } from '../units/outcome.ts';

/** Seconds between two looks for people where one person is in view all the time: the pose model follows in between. */
const ROUGH_LOOK_S = 0.6;
/** Seconds between two looks where several people must be told apart, or where the part must be found out of the travel. */
const CLOSE_LOOK_S = 0.3;
/** Key frames at most this far apart, also from the last one to the end, serve as the rough looks: they need no other frame decoded, seconds. */
const ROUGH_KEY_SPACING_S = 1.1;
/** Fewer key frames than this show too little of a clip. */
const LEAST_ROUGH_KEYS = 3;
/** Longer than this a clip is first looked over at its key frames, seconds. */
const LOOK_OVER_FROM_S = 9;
/** Key frames farther apart than this on average are too few to look over by, seconds. */
const MAX_KEY_SPACING_S = 2.2;
/** Fewest seconds between two looks at key frames. */
const LOOK_EVERY_S = 1.4;
/** Until this long before the travel begins the athlete stands, and every thirtieth of a second is measured, seconds. */
const STANCE_ENDS_S = 0.4;
const STANCE_FRAMES_PER_S = 30;
/** From the beginning of the travel to the hands, seconds (about what a two-step run takes): there the work is divided. */
const USUAL_START_S = 2.2;
/** Most frames measured a second (chosen: frames lie 8 ms apart there, and every further one costs as much; what it would add was not measured). */
const MOST_FRAMES_PER_S = 125;

/** Whom to follow in a clip, and in which frames. */
export interface FoundAthlete {
  /** Everybody who was seen. */
  readonly people: readonly PersonSighting[];
  readonly athlete: PersonPath;
  readonly part: Span & { readonly proposed: boolean };
  /** The shown frames to measure, ascending. */
  readonly frames: Int32Array;
  /** How many of them lie before the hands are likely down, at least one: the workers share these evenly. */
  readonly likelyNeeded: number;
}

/**
 * Looks for the athlete with as few looks as the clip allows: a long clip at its key frames first; then roughly, at key frames
 * where they serve. Where the part with the start must be found, closely around the begin of the travel, or around all of it when
 * others are about; a short clip closely all over when others are about. `lookAt` looks for people in shown frames, ascending.
 * Fails with `clip-too-long`, `nobody-found`, `decoder-failed`, or as `lookAt` does.
 */
export async function findAthlete(
  opened: Opened,
  request: Pick<AnalysisRequest, 'trim' | 'athleteAt'>,
  lookAt: (frames: readonly number[]) => Promise<Outcome<Looked>>,
): Promise<Outcome<FoundAthlete>> {
  const { clip, times } = opened;
  const asked: Span = request.trim ?? { fromS: 0, toS: clip.durationS };
  if (asked.toS - asked.fromS > MAX_PART_S) {
    return failure({ kind: 'clip-too-long', durationS: asked.toS - asked.fromS, limitS: MAX_PART_S });
  }
  const looks = new Looks(times, lookAt);
  const stretch = request.trim === null ? await stretchToSearch(opened, request, looks) : success(asked);
  if (!stretch.ok) return stretch;

  const mustFindPart = request.trim === null && clip.durationS > WHOLE_CLIP_S;
  const close = spaced(times, stretch.value, CLOSE_LOOK_S);
  const keys = keyLooks(opened, stretch.value);
  const rough = keys ?? (mustFindPart ? close : close.filter((_, i) => i % Math.round(ROUGH_LOOK_S / CLOSE_LOOK_S) === 0));
  const seen = (): { readonly paths: readonly PersonPath[]; readonly athlete: PersonPath | null } => {
    const paths = linkPeople(looks.within(stretch.value));
    return { paths, athlete: chooseAthlete(paths, request.athleteAt) };
  };
  let failed = await looks.at(rough);
  const coarse = seen();
  let isEnough = coarse.paths.length === 1 && looks.within(stretch.value).every(({ people }) => people.length === 1);
  if (failed === null && mustFindPart && coarse.athlete !== null) {
    const { onset, travel } = findOnset(coarse.athlete);
    // Whoever is alone need not be told apart from others on the way.
    const closely = isEnough ? onset : travel;
    failed = await looks.at(spaced(times, closely, CLOSE_LOOK_S));
    // A closer look may show that somebody else is the athlete, who began elsewhere.
    const { athlete } = seen();
    const { onsetS } = athlete === null ? { onsetS: null } : findPart(athlete, clip.durationS);
    isEnough = onsetS !== null && onsetS >= closely.fromS && onsetS <= closely.toS;
  }
  if (failed === null && !isEnough) failed = await looks.at(close);
  if (failed !== null) return failed;

  const { paths, athlete } = seen();
  if (athlete === null) {
    return looks.within(stretch.value).length === 0 && looks.failedAtS !== null
      ? failure({ kind: 'decoder-failed', fileName: clip.fileName, atS: looks.failedAtS })
      : failure({ kind: 'nobody-found' });
  }
  const proposed = findPart(athlete, clip.durationS);
  const part = request.trim ?? { fromS: Math.max(proposed.fromS, stretch.value.fromS), toS: Math.min(proposed.toS, stretch.value.toS) };
  const onsetS = request.trim === null ? proposed.onsetS : null;
  const frames = onsetS === null
    ? spaced(times, part, 1 / MOST_FRAMES_PER_S)
    : framesAround(times, part, onsetS - STANCE_ENDS_S);
  const likelyEndS = onsetS === null ? part.toS : onsetS + USUAL_START_S;
  return success({
    people: sightings(paths, athlete),
    athlete,
    part: { fromS: part.fromS, toS: part.toS, proposed: request.trim === null },
    frames: Int32Array.from(frames),
    likelyNeeded: Math.max(1, frames.filter((frame) => (times[frame] ?? 0) <= likelyEndS).length),
  });
}

/** All looks at one clip, each frame once. */
class Looks {
  readonly #times: Float64Array;
  readonly #lookAt: (frames: readonly number[]) => Promise<Outcome<Looked>>;
  readonly #seen = new Set<number>();
  #probes: readonly Probe[] = [];
  /** Clip seconds at which the decoder first gave up, null when every frame came. */
  failedAtS: number | null = null;

  constructor(times: Float64Array, lookAt: (frames: readonly number[]) => Promise<Outcome<Looked>>) {
    this.#times = times;
    this.#lookAt = lookAt;
  }

  /** Looks at those of the frames that were not looked at yet; answers what went wrong, null when nothing. */
  async at(frames: readonly number[]): Promise<Outcome<never> | null> {
    const fresh = frames.filter((frame) => !this.#seen.has(frame));
    if (fresh.length === 0) return null;
    const looked = await this.#lookAt(fresh);
    if (!looked.ok) return looked;
    for (const frame of fresh) this.#seen.add(frame);
    this.#probes = [...this.#probes, ...looked.value.probes].sort((a, b) => a.t - b.t);
    this.failedAtS ??= looked.value.failedAtS;
    return null;
  }

  /** What was seen in a part, in order of time. */
  within(part: Span): readonly Probe[] {
    return this.#probes.filter(({ t }) => isWithin(part, t));
  }
}

/** The key frames of a part where they lie close enough to be its rough looks, the first near its start, else null. */
function keyLooks({ times, keyFrames }: Opened, part: Span): readonly number[] | null {
  const within = keyFrames.filter((frame) => isWithin(part, times[frame] ?? 0));
  const looks = [...within.map((frame) => times[frame] ?? 0), part.toS];
  const areClose = looks.every((t, i) => t - (looks[i - 1] ?? part.fromS) <= (i === 0 ? CLOSE_LOOK_S : ROUGH_KEY_SPACING_S));
  return within.length >= LEAST_ROUGH_KEYS && areClose ? within : null;
}

/** Frames of a part, fewer of them up to the end of the stance. */
function framesAround(times: Float64Array, part: Span, stanceEndsS: number): readonly number[] {
  const all = spaced(times, part, 1 / MOST_FRAMES_PER_S);
  const stance = new Set(spaced(times, { fromS: part.fromS, toS: stanceEndsS }, 1 / STANCE_FRAMES_PER_S));
  return all.filter((frame) => stance.has(frame) || (times[frame] ?? 0) > stanceEndsS);
}

/** The whole clip, or out of a long one the stretch around the fastest travel, looked over at key frames, from a key frame on. */
async function stretchToSearch(
  { clip, times, keyFrames }: Opened,
  { athleteAt }: Pick<AnalysisRequest, 'athleteAt'>,
  looks: Looks,
): Promise<Outcome<Span>> {
  const whole = { fromS: 0, toS: clip.durationS };
  if (clip.durationS <= LOOK_OVER_FROM_S || clip.durationS / keyFrames.length > MAX_KEY_SPACING_S) return success(whole);
  const overview: number[] = [];
  let nextS = -Infinity;
  for (const frame of keyFrames) {
    const t = times[frame] ?? 0;
    if (t < nextS) continue;
    overview.push(frame);
    nextS = t + LOOK_EVERY_S;
  }
  const failed = await looks.at(overview);
  if (failed !== null) return failed;
  const athlete = chooseAthlete(linkPeople(looks.within(whole)), athleteAt);
  if (athlete === null) return success(whole);
  const { fromS, toS } = findStretch(athlete, clip.durationS, clip.durationS / overview.length);
  const key = keyFrames.findLast((frame) => (times[frame] ?? 0) <= fromS);
  return success({ fromS: key === undefined ? fromS : (times[key] ?? fromS), toS });
}

/** Whether a time lies in a part, its ends included. */
function isWithin({ fromS, toS }: Span, t: number): boolean {
  return t >= fromS - 1e-6 && t <= toS + 1e-6;
}

/** Shown frames of a part that lie at least `everyS` apart (a tenth less counts: frames are never quite even); at least one. */
export function spaced(times: Float64Array, part: Span, everyS: number): readonly number[] {
  const chosen: number[] = [];
  let nextS = -Infinity;
  times.forEach((t, frame) => {
    if (!isWithin(part, t) || t < nextS) return;
    chosen.push(frame);
    nextS = t + 0.9 * everyS;
  });
  if (chosen.length === 0) chosen.push(Math.max(0, times.length - 1));
  return chosen;
}

function sightings(paths: readonly PersonPath[], athlete: PersonPath): readonly PersonSighting[] {
  return paths
    .flatMap((path) => path.sightings.map(({ t, box }) => ({ t, box, isAthlete: path === athlete })))
    .sort((a, b) => a.t - b.t);
}
