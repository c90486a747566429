import type { BodyTrack } from '../pose/body-track.ts';
import { extrema, type Extremum } from '../signal/extrema.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFitAll } from '../signal/local-fit.ts';
import type { Side } from '../starts/start.ts';
import { TOE_OFFS } from './contact-families.ts';
import type { Moment } from './moment.ts';
import { placeContact } from './place-contact.ts';

/** A foot that rises slower than this, leg lengths a second, does not leave the floor. Chosen: above jitter. */
const SLOWEST_RISE = 0.6;
/** How near to where the foot was last seen standing the toe-off must lie, seconds. */
const NEAR_LAST_STAND_S = 0.1;
/** Half width of the line that gives the foot's rise, seconds. */
const RISE_HALF_WIDTH_S = 0.035;
/**
 * The foot's middle rises fastest this long after the toe has left, and how far that varies, seconds: 17 ± 6 ms on 70 drawn
 * starts. That the fastest rise marks toe-off to within a frame or two is the foot-velocity rule of gait analysis
 * (O'Connor et al. 2007, Gait & Posture 25:469; from memory, not checked).
 */
const RISE_AFTER_TOE_OFF_S = 0.017;
const RISE_SD_S = 0.008;

/** Where the launch is looked for, clip seconds. */
export interface PushWindow {
  /** The pushing foot stands at `from`; at `to` it, or the other foot, lands. */
  readonly from: number;
  readonly to: number;
  /** When it is last seen standing, to a few frames; not finite when unknown. */
  readonly leaves: number;
}

/** Toe-off of the pushing foot: a moment before its middle (toe, heel, ankle) rises fastest, then by the family of toe-offs. Not found when it never rises. */
export function findLaunch(body: BodyTrack, pushing: Side, window: PushWindow, legPx: number): Moment {
  const { times } = body;
  const limbs = body[pushing];
  const step = frameSpacing(times);
  const height = times.map((_, i) => (limbs.toe.y[i]! + limbs.heel.y[i]! + limbs.ankle.y[i]!) / 3);
  const rise = localFitAll(times, height, null, Math.max(RISE_HALF_WIDTH_S, 2.1 * step), 1).first.map((v) => -v);
  const peaks = extrema(times, rise).filter((extremum) => extremum.kind === 'peak' && extremum.t > window.from && extremum.t < window.to && extremum.value > SLOWEST_RISE * legPx);
  const near = peaks.filter((peak) => peak.t > window.leaves - NEAR_LAST_STAND_S && peak.t < window.leaves + NEAR_LAST_STAND_S);
  const fastest = (near.length > 0 ? near : peaks).reduce<Extremum | undefined>((a, b) => (a && a.value >= b.value ? a : b), undefined)?.t;
  if (fastest === undefined) return { found: false, why: 'moment-not-found' };
  const rough = fastest - RISE_AFTER_TOE_OFF_S;
  const { t, sd } = placeContact(TOE_OFFS, times, [limbs.toe, limbs.heel, limbs.ankle, limbs.knee, limbs.hip], rough, legPx) ?? { t: rough, sd: Math.hypot(step / Math.sqrt(12), RISE_SD_S) };
  return { found: true, t, sd, source: 'detected' };
}
