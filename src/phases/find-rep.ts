import { quantile } from 'd3';
import { bodyTrack, type BodyTrack } from '../pose/body-track.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import { frameNear } from '../pose/frame-near.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../pose/landmarks.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFit, localFitAll } from '../signal/local-fit.ts';
import { medianOf } from '../signal/spread.ts';
import { otherSide, type Direction, type Side, type StartId } from '../starts/start.ts';
import type { Choice } from '../starts/choice.ts';
import { findOnset, type Onset } from './first-move.ts';
import { footContacts, type FootContact } from './foot-contacts.ts';
import { findHands } from './hands.ts';
import { findLaunch, type PushWindow } from './launch.ts';
import type { Moment, MomentId, Moments, Step } from './moment.ts';
import { classifyStart } from './start-kind.ts';

/** What the user stated about the rep. */
export interface RepOverrides {
  readonly start?: StartId;
  readonly lead?: Side;
  readonly direction?: Direction;
  readonly moments?: Readonly<Partial<Record<MomentId, number>>>;
}

/** The structure of one rep: who does what when. */
export interface Rep {
  readonly start: Choice<StartId>;
  readonly lead: Choice<Side>;
  readonly direction: Choice<Direction>;
  readonly body: BodyTrack;
  readonly legPx: number;
  readonly moments: Moments;
  readonly steps: readonly Step[];
  readonly contacts: readonly FootContact[];
  /** Time in the air between launch and the next contact, null when a foot stays down. */
  readonly flight: { readonly from: number; readonly to: number; readonly sd: number } | null;
  /** First and last frame of the still posture before the start. */
  readonly still: readonly [number, number];
  readonly floorY: number;
  /** Other instants at which the lead knee may have been at its highest, noise allowing. */
  readonly otherTops: readonly OtherTop[];
}

/** An instant that may be the one meant, and how likely it is beside the one chosen, 0 to 1. */
export interface OtherTop {
  readonly t: number;
  readonly share: number;
}

const MISSING: Moment = { found: false, why: 'moment-not-found' };
/** From the lunge to the first hand takes no longer than this, seconds. Chosen: twice what is usual. */
const LONGEST_REACH_S = 1;
/** Passé is looked for from this long before launch (DOMAIN: key moments). */
const PASSE_BEFORE_LAUNCH_S = 0.25;
/** Heights this close to the highest, leg lengths, could each be the highest. Chosen: a knee's jitter after smoothing. */
const LEVEL_TOP = 0.01;
/** How far two heights apart in time may be off against each other, leg lengths, one standard deviation. From the head's errors at hip and knee. */
const TIE_SD = 0.015;
/** A top less likely than this beside the highest is left out. Chosen. */
const LEAST_SHARE = 0.02;
/** Half width of the local parabola through the knee's height, seconds. */
const PASSE_HALF_WIDTH_S = 0.06;

/** Finds start type, lead leg, direction, contacts and key moments of the rep in a repaired track; overrides win and the rest follows. */
export function findRep(track: PoseTrack, overrides: RepOverrides = {}): Rep {
  const direction = chosen(overrides.direction, () => travelDirection(track));
  const { body, legPx, contacts, floorY, touch } = groundOf(track, direction.value);
  const step = frameSpacing(body.times);
  const placed = (id: MomentId): Moment | null => {
    const t = overrides.moments?.[id];
    return t === undefined ? null : { found: true, t, sd: step / Math.sqrt(12), source: 'user' };
  };

  const hands = placed('hands') ?? touch;
  const lead = chosen(overrides.lead, () => leadLeg(body, legPx, contacts, hands));
  const other = otherSide(lead.value);
  const landing = plantContact(contacts, lead.value, hands);
  const plant = placed('plant') ?? (landing ? { found: true, t: landing.on, sd: landing.onSd, source: 'detected' } as const : MISSING);
  const plantT = plant.found ? plant.t : hands.found ? hands.t : body.times[body.times.length - 1]!;

  const userFirst = placed('firstMove');
  const onset: Onset = findOnset(body, legPx, (userFirst?.found ? userFirst.t : plantT) - 0.1);
  const firstMove = userFirst ?? onset.firstMove;
  const set = placed('set') ?? onset.set;
  const startT = firstMove.found ? firstMove.t : body.times[0]!;

  const start = chosen(overrides.start, () => classifyStart({ body, legPx, contacts, lead: lead.value, startT, plantT, still: onset.still, floorY }));
  const push = pushWindow(contacts, other, startT, plantT, start.value);
  const launch = placed('launch') ?? (start.value === 'tip-from-passe' ? plant : findLaunch(body, other, push, legPx));
  const peak = findPasse(body, lead.value, start.value === 'tip-from-passe' ? startT : launch.found ? launch.t - PASSE_BEFORE_LAUNCH_S : startT, plantT, legPx);
  const passe = placed('passe') ?? peak.moment;

  return {
    start, lead, direction, body, legPx, contacts, floorY,
    moments: { set, firstMove, launch, passe, plant, hands },
    steps: start.value === 'two-step-run' ? stepsBefore(contacts, startT, launch.found ? launch.t : plantT) : [],
    flight: flightAfter(launch, contacts, plant, start.value),
    still: onset.still,
    otherTops: passe.found && passe.source === 'detected' ? peak.others : [],
  };
}

/** What no statement of the user changes: the body on its way and what it touches. */
interface Ground {
  readonly body: BodyTrack;
  readonly legPx: number;
  readonly contacts: readonly FootContact[];
  readonly floorY: number;
  readonly touch: Moment;
}

const grounds = new WeakMap<PoseTrack, Partial<Record<Direction, Ground>>>();

/** Found once a track and direction, however often the user corrects. */
function groundOf(track: PoseTrack, direction: Direction): Ground {
  const known = grounds.get(track) ?? {};
  grounds.set(track, known);
  return (known[direction] ??= findGround(track, direction));
}

function findGround(track: PoseTrack, direction: Direction): Ground {
  const body = bodyTrack(track, direction);
  const legPx = legLengthPx(body);
  const floorY = floorOf(body);
  return { body, legPx, floorY, contacts: footContacts(body, legPx), touch: findHands(body, legPx, floorY) };
}

function chosen<T>(value: T | undefined, propose: () => { value: T; confidence: number }): Choice<T> {
  return value === undefined ? { ...propose(), source: 'detected' } : { value, source: 'user', confidence: 1 };
}

/** Direction of the hips' travel from the first to the last tenth of the clip; confidence from how far they travel against a tenth of the picture's width. */
function travelDirection(track: PoseTrack): { value: Direction; confidence: number } {
  const x: number[] = [];
  for (let i = 0; i < track.times.length; i++) {
    const at = (k: number): number => track.xy[(i * LANDMARK_COUNT + k) * 2]!;
    const middle = (at(LANDMARK_INDEX.leftHip) + at(LANDMARK_INDEX.rightHip)) / 2;
    if (Number.isFinite(middle)) x.push(middle);
  }
  const tenth = Math.max(1, Math.floor(x.length / 10));
  const travel = medianOf(x.slice(-tenth)) - medianOf(x.slice(0, tenth));
  return { value: travel < 0 ? 'right-to-left' : 'left-to-right', confidence: Math.min(1, Math.abs(travel) / (0.1 * track.widthPx)) || 0 };
}

/** The row near which the feet stand, pixels: high quantile of the lower foot over the clip. */
function floorOf(body: BodyTrack): number {
  const low = Array.from(body.times, (_, i) => Math.max(body.left.toe.y[i]!, body.left.heel.y[i]!, body.right.toe.y[i]!, body.right.heel.y[i]!));
  return quantile(low.filter(Number.isFinite), 0.8) ?? NaN;
}

/** At the hands the lead foot stands and the other leg kicks up: the lead leg is the one whose ankle is lower then. */
function leadLeg(body: BodyTrack, legPx: number, contacts: readonly FootContact[], hands: Moment): { value: Side; confidence: number } {
  if (!hands.found) {
    const last = contacts.filter((contact) => Number.isFinite(contact.on)).at(-1);
    return { value: last?.foot ?? 'left', confidence: 0.3 };
  }
  const differences: number[] = [];
  for (let i = frameNear(body.times, hands.t - 0.12); i <= frameNear(body.times, hands.t); i++) {
    const difference = (body.left.ankle.y[i]! + body.left.knee.y[i]!) - (body.right.ankle.y[i]! + body.right.knee.y[i]!);
    if (Number.isFinite(difference)) differences.push(difference);
  }
  const middle = medianOf(differences);
  return { value: middle > 0 ? 'left' : 'right', confidence: Math.min(1, Math.abs(middle) / legPx) || 0.3 };
}

/** The lead foot's last landing before the hands. */
function plantContact(contacts: readonly FootContact[], lead: Side, hands: Moment): FootContact | undefined {
  const until = hands.found ? hands.t - 0.08 : Infinity;
  const since = hands.found ? hands.t - LONGEST_REACH_S : -Infinity;
  return contacts.filter((contact) => contact.foot === lead && contact.on > since && contact.on < until).at(-1);
}

/**
 * When the pushing foot stands and when the next foot lands: the launch lies between. All starts but the run push off
 * from where the other foot stood in the set posture; the run pushes off from its last step. Before a hurdle the pushing
 * foot itself lands again (the skip), else the lead foot does.
 */
function pushWindow(contacts: readonly FootContact[], other: Side, startT: number, plantT: number, start: StartId): PushWindow {
  const stays = contacts.filter((contact) => contact.foot === other);
  const landings = stays.filter((contact) => contact.on > startT && contact.on < plantT - 0.05);
  const hasSkip = start === 'two-step-run' || start === 'power-hurdle' || start === 'hop-from-passe';
  const skip = hasSkip ? landings.at(-1) : undefined;
  const lastStep = start === 'two-step-run' ? landings.at(-2) : undefined;
  const standing = lastStep ?? stays.findLast((contact) => contact.on <= startT);
  return { from: lastStep?.on ?? startT, to: (skip?.on ?? plantT) - 0.01, leaves: standing?.off ?? NaN };
}

/** The lead knee at its highest relative to the hip, by a local parabola, and the other tops that noise may have kept from being the highest. */
function findPasse(body: BodyTrack, lead: Side, from: number, to: number, legPx: number): { readonly moment: Moment; readonly others: readonly OtherTop[] } {
  const { times } = body;
  const rise = body[lead].hip.y.map((hip, i) => hip - body[lead].knee.y[i]!);
  const halfS = Math.max(PASSE_HALF_WIDTH_S, 2.6 * frameSpacing(times, (from + to) / 2));
  const smooth = localFitAll(times, rise, null, halfS, 2).value;
  const first = frameNear(times, from);
  const last = frameNear(times, to);
  let best = -1;
  for (let i = first; i <= last; i++) {
    if (Number.isFinite(smooth[i]) && (best < 0 || smooth[i]! > smooth[best]!)) best = i;
  }
  if (best < 0) return { moment: MISSING, others: [] };
  const step = frameSpacing(times, times[best]);
  const fit = localFit(times, rise, null, times[best]!, halfS, 2);
  const shift = fit !== null && fit.second < 0 ? Math.max(-step, Math.min(step, -fit.first / fit.second)) : 0;
  const t = Math.max(from, Math.min(to, times[best]! + shift));
  // A flat top is found loosely: noise of the slope over the curvature.
  const loose = fit !== null && fit.second < 0 && fit.residualSd !== null ? (fit.residualSd * fit.firstNoise) / -fit.second : 2 * step;
  const sd = Math.hypot(step / Math.sqrt(12), Math.min(loose, 4 * step), plateauS(times, smooth, best, legPx) / Math.sqrt(12));
  return { moment: { found: true, t, sd, source: 'detected' }, others: otherTops(times, smooth, first, last, best, legPx) };
}

/** The other peaks between two frames, each as likely as noise could have made it the lower one. */
function otherTops(times: Float64Array, height: Float64Array, first: number, last: number, best: number, legPx: number): OtherTop[] {
  const tops: OtherTop[] = [];
  for (let i = first; i <= last; i++) {
    const isTop = (i === first || height[i]! >= height[i - 1]!) && (i === last || height[i]! >= height[i + 1]!);
    const share = Math.exp(-0.5 * ((height[best]! - height[i]!) / (TIE_SD * legPx)) ** 2);
    if (isTop && i !== best && share > LEAST_SHARE) tops.push({ t: times[i]!, share });
  }
  return tops;
}

/** How long the top around its highest frame is as good as level, seconds: a knee held high has no instant of its own. */
function plateauS(times: Float64Array, height: Float64Array, best: number, legPx: number): number {
  const level = height[best]! - LEVEL_TOP * legPx;
  let from = best;
  let to = best;
  while (from > 0 && height[from - 1]! > level) from--;
  while (to < times.length - 1 && height[to + 1]! > level) to++;
  return times[to]! - times[from]!;
}

/** Landings between the first movement and the launch: the steps, the skip's landing not among them. */
function stepsBefore(contacts: readonly FootContact[], from: number, to: number): Step[] {
  return contacts
    .filter((contact) => contact.on > from && contact.on < to)
    .map((contact) => ({ foot: contact.foot, t: contact.on, sd: contact.onSd, xPx: contact.ankleX }));
}

/** Time in the air after the launch: until the next landing of either foot. */
function flightAfter(launch: Moment, contacts: readonly FootContact[], plant: Moment, start: StartId): Rep['flight'] {
  if (!launch.found || start === 'tip-from-passe') return null;
  const next = contacts.find((contact) => contact.on > launch.t + 0.02);
  const to = next ? { t: next.on, sd: next.onSd } : plant.found ? plant : null;
  return to === null ? null : { from: launch.t, to: to.t, sd: Math.hypot(launch.sd, to.sd) };
}
