import type { BodyTrack } from '../pose/body-track.ts';
import { crossings } from '../signal/crossings.ts';
import { extrema, type Extremum } from '../signal/extrema.ts';
import { localFitAll } from '../signal/local-fit.ts';
import type { Side } from '../starts/start.ts';
import { frameSpacing, speedOf } from './foot-contacts.ts';
import type { Moment } from './moment.ts';

/** The toe moves once it is this fast, leg lengths a second. Chosen: above jitter. */
const TOE_MOVES = 0.6;
/** From the toe's first motion to the fastest rise of the ankle takes no longer, seconds. Chosen: a toe rolls off in a tenth. */
const LONGEST_ROLL_S = 0.1;
/** Half width of the line that gives the ankle's rise, seconds. */
const RISE_HALF_WIDTH_S = 0.035;

/** Where the launch is looked for, clip seconds. */
export interface PushWindow {
  /** The pushing foot stands at `from`; at `to` it, or the other foot, lands. */
  readonly from: number;
  readonly to: number;
  /** When it is last seen standing, to a few frames; not finite when unknown. */
  readonly leaves: number;
}

/**
 * Toe-off of the pushing foot: halfway between two events that enclose it, the toe begins to move (it rolls before it lifts) and the ankle rises fastest (the foot no
 * longer pushes). The deviation is that of a uniform guess between them. Not found when the ankle never rises.
 */
export function findLaunch(body: BodyTrack, pushing: Side, window: PushWindow, legPx: number): Moment {
  const { times } = body;
  const limbs = body[pushing];
  const step = frameSpacing(times);
  const rise = localFitAll(times, limbs.ankle.y, null, Math.max(RISE_HALF_WIDTH_S, 1.1 * step), 1).first.map((v) => -v);
  const peaks = extrema(times, rise).filter((extremum) => extremum.kind === 'peak' && extremum.t > window.from && extremum.t < window.to && extremum.value > TOE_MOVES * legPx);
  const near = peaks.filter((peak) => peak.t > window.leaves - LONGEST_ROLL_S && peak.t < window.leaves + LONGEST_ROLL_S);
  const fastest = (near.length > 0 ? near : peaks).reduce<Extremum | undefined>((a, b) => (a && a.value >= b.value ? a : b), undefined)?.t;
  if (fastest === undefined) return { found: false, why: 'moment-not-found' };
  const begins = crossings(times, speedOf(times, limbs.toe), TOE_MOVES * legPx)
    .filter((crossing) => crossing.rising && crossing.t > fastest - LONGEST_ROLL_S && crossing.t < fastest + step)
    .at(-1)?.t;
  const t = begins === undefined ? fastest - step : (begins + fastest) / 2;
  const width = begins === undefined ? 2 * step : Math.abs(fastest - begins);
  return { found: true, t, sd: Math.hypot(step, Math.max(step, width)) / Math.sqrt(12), source: 'detected' };
}
