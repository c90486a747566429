import type { BodyTrack, Path } from '../pose/body-track.ts';
import { thighElevationDeg } from '../geometry/index.ts';
import { medianOf } from '../signal/spread.ts';
import { otherSide, type Side, type StartId } from '../starts/start.ts';
import type { FootContact } from './foot-contacts.ts';

/** What the start type is read from. */
export interface StartEvidence {
  readonly body: BodyTrack;
  readonly legPx: number;
  readonly contacts: readonly FootContact[];
  readonly lead: Side;
  /** First movement and plant in clip seconds. */
  readonly startT: number;
  readonly plantT: number;
  /** First and last frame of the still posture. */
  readonly still: readonly [number, number];
  readonly floorY: number;
}

/** Limits between the postures, in leg lengths or degrees. Chosen midway between the shapes that the starts are defined by. */
const KNEELING_KNEE_HEIGHT = 0.25;
const STAGGERED_SPREAD = 0.45;
const RAISED_THIGH_DEG = -55;
const RAISED_ANKLE = 0.1;

/**
 * Start type out of the still posture and the contacts that follow: a knee on the floor is half-kneeling, one leg raised
 * is passé, feet far apart is the sprint lunge, feet together is a run or a two-foot jump. Confidence is how far the
 * deciding figure lies from its limit.
 */
export function classifyStart(evidence: StartEvidence): { value: StartId; confidence: number } {
  const { body, legPx, still, lead, floorY } = evidence;
  const at = (path: Path): { x: number; y: number } => ({
    x: medianOf(path.x.subarray(still[0], still[1] + 1)),
    y: medianOf(path.y.subarray(still[0], still[1] + 1)),
  });
  const other = otherSide(lead);
  const kneeHeight = (floorY - at(body[lead].knee).y) / legPx;
  const spread = Math.abs(at(body[lead].ankle).x - at(body[other].ankle).x) / legPx;
  const ankleRise = (at(body[other].ankle).y - at(body[lead].ankle).y) / legPx;
  const thigh = thighElevationDeg(at(body[lead].hip), at(body[lead].knee), 'left-to-right') ?? -90;
  const margin = (value: number, limit: number, scale: number): number => Math.min(1, 0.5 + Math.abs(value - limit) / scale);

  if (kneeHeight < KNEELING_KNEE_HEIGHT && spread > STAGGERED_SPREAD / 2) {
    return { value: 'half-kneeling', confidence: margin(kneeHeight, KNEELING_KNEE_HEIGHT, 0.2) };
  }
  if (thigh > RAISED_THIGH_DEG && ankleRise > RAISED_ANKLE) {
    const hops = contactsOfOther(evidence).some((contact) => contact.off < evidence.plantT - 0.12);
    return { value: hops ? 'hop-from-passe' : 'tip-from-passe', confidence: margin(thigh, RAISED_THIGH_DEG, 40) };
  }
  if (spread > STAGGERED_SPREAD) {
    return { value: 'sprint-lunge', confidence: margin(spread, STAGGERED_SPREAD, 0.4) };
  }
  return runOrJump(evidence, spread);
}

/** The other foot's contacts that begin before the plant. */
function contactsOfOther({ contacts, lead, plantT }: StartEvidence): FootContact[] {
  return contacts.filter((contact) => contact.foot === otherSide(lead) && contact.on < plantT - 0.02);
}

/** From feet together: a run lands at least once on the lead foot before the lunge, a two-foot jump does not and its feet leave together. */
function runOrJump(evidence: StartEvidence, spread: number): { value: StartId; confidence: number } {
  const { contacts, lead, startT, plantT } = evidence;
  const leadSteps = contacts.filter((contact) => contact.foot === lead && contact.on > startT && contact.on < plantT - 0.15).length;
  const leave = (side: Side): number => contacts.find((contact) => contact.foot === side && contact.off > startT)?.off ?? NaN;
  const apart = Math.abs(leave('left') - leave('right'));
  const isJump = leadSteps === 0 || apart < 0.08;
  const confidence = Math.min(1, 0.5 + Math.abs((Number.isFinite(apart) ? apart : 0.2) - 0.08) * 2) * (spread < STAGGERED_SPREAD ? 1 : 0.7);
  return { value: isJump && apart < 0.25 ? 'power-hurdle' : leadSteps === 0 ? 'power-hurdle' : 'two-step-run', confidence };
}
