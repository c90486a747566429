import { quantile } from 'd3';
import { bodyTrack, type BodyTrack } from '../pose/body-track.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import { frameNear } from '../pose/frame-near.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../pose/landmarks.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { medianOf } from '../signal/spread.ts';
import { otherSide, type Direction, type Side, type StartId } from '../starts/start.ts';
import type { Choice } from '../starts/choice.ts';
import { findOnset, type Onset } from './first-move.ts';
import { footContacts, type FootContact } from './foot-contacts.ts';
import { findHands } from './hands.ts';
import { findLaunch, type PushWindow } from './launch.ts';
import type { Moment, MomentId, Moments, Step } from './moment.ts';
import { findPasse, type KneeTops } from './passe.ts';
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
  /** Where the lead knee may have been at its highest; null where the passé was placed by hand or not found. */
  readonly kneeTops: KneeTops | null;
}

const MISSING: Moment = { found: false, why: 'moment-not-found' };
/** From the lunge to the first hand takes no longer than this, seconds. Chosen: twice what is usual. */
const LONGEST_REACH_S = 1;
/** Passé is looked for from this long before launch (DOMAIN: key moments). */
const PASSE_BEFORE_LAUNCH_S = 0.25;

/** Finds start type, lead leg, direction, contacts and key moments of the rep in a repaired track; overrides win and the rest follows. */
export function findRep(track: PoseTrack, overrides: RepOverrides = {}, legM: number | null = null): Rep {
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
  const onset: Onset = findOnset(body, legPx, (userFirst?.found ? userFirst.t : plantT) - 0.1, legM);
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
    kneeTops: passe.found && passe.source === 'detected' ? peak.tops : null,
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
