import { quantile } from 'd3';
import type { BodyTrack, Limbs, Path } from '../pose/body-track.ts';
import { crossings } from '../signal/crossings.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFitAll } from '../signal/local-fit.ts';
import { medianOf } from '../signal/spread.ts';
import type { Side } from '../starts/start.ts';
import { LANDINGS } from './contact-families.ts';
import type { Instant } from './moment.ts';
import { placeContact } from './place-contact.ts';

/** One stay of a foot on the floor. */
export interface FootContact {
  readonly foot: Side;
  /** Landing in clip seconds; −Infinity when the foot stands from the first frame on. */
  readonly on: number;
  readonly onSd: number;
  /** When it is last seen standing, to about two frames, in clip seconds; Infinity when it still stands in the last frame. */
  readonly off: number;
  /** Where its ankle and its lowest point rest, pixels in the athlete's frame of travel. */
  readonly ankleX: number;
  readonly floorY: number;
}

/** A foot slower than this, in leg lengths a second, may be standing. Chosen: between jitter (0.3) and a slow swing (1.5). */
const STILL_SPEED = 0.9;
/** Where too few frames show a landing, it is where the foot slows to the speed of standing, give or take this many frames. Chosen: on 84 drawn starts 95 % lie within. */
const ROUGH_SD_FRAMES = 1.2;
/** That slowing is looked for this near to the first standing frame, seconds. */
const SLOWS_WITHIN_S = 0.08;
/** A foot higher above the lowest foot of the clip than this, in leg lengths, is not standing, wedge included. Chosen. */
const STANDING_HEIGHT = 0.35;
/** An ankle faster than this, in leg lengths a second, is no standing foot's. Chosen: what it reaches as the toe leaves. */
const SWING_SPEED = 1.8;
/** Contacts shorter than this are not contacts, seconds. Chosen. */
const SHORTEST_CONTACT_S = 0.06;
/** A toe that is back within this distance (leg lengths) after at most this long (seconds) had not left: the model slipped. Chosen. */
const SAME_PLACE = 0.045;
const LONGEST_SLIP_S = 0.1;
/**
 * A foot that is seen standing again in the same place after at most this long, for at least this long, seconds, had not
 * left either. Chosen: on 48 drawn starts the model lost a standing foot for up to 0.23 s, a foot that leaves for good drags
 * along the floor for less than 0.1 s, and none takes its next step within 0.3 s. Same place: its ankle or its toe within this distance,
 * leg lengths; the shortest step measured 0.8.
 */
const LONGEST_LOSS_S = 0.25;
const SHORTEST_REST_S = 0.1;
const SAME_STAND = 0.1;
/** Half width of the window that calms a position, seconds. */
const CALM_HALF_WIDTH_S = 0.06;
/** Half width of the window that gives speeds, seconds: five frames at 60 fps. */
const SPEED_HALF_WIDTH_S = 0.035;

/** Speed of a path at each frame in pixels per second, NaN in gaps. */
function speedOf(times: Float64Array, path: Path): Float64Array {
  const x = localFitAll(times, path.x, null, SPEED_HALF_WIDTH_S, 1).first;
  const y = localFitAll(times, path.y, null, SPEED_HALF_WIDTH_S, 1).first;
  return x.map((value, i) => Math.hypot(value, y[i]!));
}

/** All stays of both feet on the floor in order of landing. */
export function footContacts(body: BodyTrack, legPx: number): FootContact[] {
  const low = (limbs: Limbs): Float64Array => body.times.map((_, i) => Math.max(limbs.toe.y[i]!, limbs.heel.y[i]!));
  const lows = { left: low(body.left), right: low(body.right) };
  const floorY = quantile([...lows.left, ...lows.right].filter(Number.isFinite), 0.97) ?? NaN;
  return (['left', 'right'] as const)
    .flatMap((foot) => contactsOf(body, foot, lows[foot], floorY, legPx))
    .sort((a, b) => a.on - b.on);
}

function contactsOf(body: BodyTrack, foot: Side, low: Float64Array, floorY: number, legPx: number): FootContact[] {
  const { times } = body;
  const limbs = body[foot];
  const speeds = [limbs.toe, limbs.heel].map((path) => speedOf(times, path));
  const ankleSpeed = speedOf(times, limbs.ankle);
  const calmX = localFitAll(times, limbs.toe.x, null, CALM_HALF_WIDTH_S, 1).value;
  const calmY = localFitAll(times, limbs.toe.y, null, CALM_HALF_WIDTH_S, 1).value;
  const slowest = times.map((_, i) => Math.min(...speeds.map((speed) => (Number.isFinite(speed[i]) ? speed[i]! : Infinity))));
  const stands = Array.from(times, (_, i) => {
    return slowest[i]! < STILL_SPEED * legPx && !(ankleSpeed[i]! > SWING_SPEED * legPx) && floorY - low[i]! < STANDING_HEIGHT * legPx;
  });
  const runs: [number, number][] = [];
  stands.forEach((standing, i) => {
    if (!standing) return;
    const last = runs.at(-1);
    const gap = last ? times[i]! - times[last[1]]! : Infinity;
    const isSamePlace = last !== undefined && Math.hypot(calmX[i]! - calmX[last[1]]!, calmY[i]! - calmY[last[1]]!) < SAME_PLACE * legPx;
    if (last && gap <= LONGEST_SLIP_S && isSamePlace) last[1] = i;
    else runs.push([i, i]);
  });
  const end = times.length - 1;
  const lasting = runs.filter(([a, b]) => times[b]! - times[a]! >= SHORTEST_CONTACT_S || a === 0 || b === end);
  return joinStays(lasting, times, limbs, legPx)
    .map(([a, b]) => {
      const on = a === 0 ? { t: -Infinity, sd: 0 } : landing(times, limbs, a, slowest, legPx);
      const off = b === end ? Infinity : times[b]! + frameSpacing(times) / 2;
      const middle = Math.round((a + b) / 2);
      return {
        foot, on: on.t, onSd: on.sd, off,
        ankleX: medianOf(limbs.ankle.x.subarray(a, b + 1)),
        floorY: low[middle]!,
      };
    });
}

/** Stays of one foot, first and last frame of each, with those joined between which the model lost sight of a foot that stood. */
function joinStays(stays: readonly (readonly [number, number])[], times: Float64Array, { ankle, toe }: Limbs, legPx: number): (readonly [number, number])[] {
  const moved = (path: Path, from: readonly [number, number], to: readonly [number, number]): number =>
    Math.abs(medianOf(path.x.subarray(from[0], from[1] + 1)) - medianOf(path.x.subarray(to[0], to[1] + 1)));
  // A foot that rolls onto its toes takes the ankle along.
  const isInPlace = (from: readonly [number, number], to: readonly [number, number]): boolean =>
    [ankle, toe].some((path) => moved(path, from, to) < SAME_STAND * legPx);
  const joined: (readonly [number, number])[] = [];
  for (const stay of stays) {
    const last = joined.at(-1);
    const isSame = last !== undefined
      && times[stay[0]]! - times[last[1]]! <= LONGEST_LOSS_S
      && times[stay[1]]! - times[stay[0]]! >= SHORTEST_REST_S
      && isInPlace(last, stay);
    if (isSame) joined[joined.length - 1] = [last[0], stay[1]];
    else joined.push(stay);
  }
  return joined;
}

/** Landing at sub-frame precision: where the foot slows to the speed of standing, then by the family of landings. */
function landing(times: Float64Array, limbs: Limbs, at: number, slowest: Float64Array, legPx: number): Instant {
  const t = times[at]!;
  const step = frameSpacing(times, t);
  const slows = crossings(times, slowest, STILL_SPEED * legPx)
    .filter((crossing) => !crossing.rising && Math.abs(crossing.t - t) < SLOWS_WITHIN_S)
    .sort((a, b) => Math.abs(a.t - t) - Math.abs(b.t - t))[0]?.t;
  const rough = slows ?? t - step / 2;
  return placeContact(LANDINGS, times, [limbs.toe, limbs.heel, limbs.ankle, limbs.knee, limbs.hip], rough, legPx) ?? { t: rough, sd: ROUGH_SD_FRAMES * step };
}
