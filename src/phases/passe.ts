import type { BodyTrack } from '../pose/body-track.ts';
import { frameNear } from '../pose/frame-near.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFitAll } from '../signal/local-fit.ts';
import { LEAST_FRAMES, topInstant } from '../signal/top-instant.ts';
import type { Side } from '../starts/start.ts';
import type { Moment } from './moment.ts';

/** An instant that may be the one meant, and how likely it is beside the one chosen, 0 to 1. */
export interface OtherTop {
  readonly t: number;
  readonly share: number;
}

/** The highest top and the others that may have been it. */
export interface KneeTops {
  /** How far the highest top's own instant may be off, seconds, one standard deviation, were it the one meant. */
  readonly ownSd: number;
  readonly others: readonly OtherTop[];
}

/** Heights this close to the highest, leg lengths, could each be the highest. Chosen: a knee's jitter after smoothing. */
const LEVEL_TOP = 0.01;
/** How far two heights apart in time may be off against each other, leg lengths, one standard deviation: 0.010 on 54 drawn starts, 80 ms apart or more, a fifth added for people. */
const TIE_SD = 0.012;
/** A top less likely than this beside the highest is left out. Chosen. */
const LEAST_SHARE = 0.02;
/** Half width of the local parabola through the knee's height, seconds. */
const PASSE_HALF_WIDTH_S = 0.06;
/**
 * How far the top of a parabola through the knee's exact height is off where a cubic's is not, seconds, root mean square over 57
 * drawn starts: a driven knee falls faster than it rose.
 */
const UNEVEN_S = 0.0035;

/** The lead knee at its highest relative to the hip between two instants, and the other tops that noise may have kept from being the highest: the moment's deviation knows of them. Not found, without tops, where the leg is not seen. */
export function findPasse(body: BodyTrack, lead: Side, from: number, to: number, legPx: number): { readonly moment: Moment; readonly tops: KneeTops | null } {
  const { times } = body;
  const rise = body[lead].hip.y.map((hip, i) => hip - body[lead].knee.y[i]!);
  const halfS = Math.max(PASSE_HALF_WIDTH_S, LEAST_FRAMES * frameSpacing(times, (from + to) / 2));
  const smooth = localFitAll(times, rise, null, halfS, 2).value;
  const first = frameNear(times, from);
  const last = frameNear(times, to);
  let best = -1;
  for (let i = first; i <= last; i++) {
    if (Number.isFinite(smooth[i]) && (best < 0 || smooth[i]! > smooth[best]!)) best = i;
  }
  if (best < 0) return { moment: { found: false, why: 'moment-not-found' }, tops: null };
  const step = frameSpacing(times, times[best]);
  const top = topInstant(times, rise, times[best]!, PASSE_HALF_WIDTH_S, UNEVEN_S);
  const t = Math.max(from, Math.min(to, top?.t ?? times[best]!));
  const ownSd = Math.hypot(step / Math.sqrt(12), Math.min(top?.sd ?? 2 * step, 4 * step), plateauS(times, smooth, best, legPx) / Math.sqrt(12));
  const others = otherTops(times, smooth, first, last, best, legPx);
  return { moment: { found: true, t, sd: Math.hypot(ownSd, betweenTopsSd(t, others)), source: 'detected' }, tops: { ownSd, others } };
}

/** How far an instant may be off because another may be the one meant, one standard deviation in its unit of time: each by its share. */
function betweenTopsSd(t: number, others: readonly OtherTop[]): number {
  const weight = others.reduce((sum, { share }) => sum + share, 1);
  return Math.sqrt(others.reduce((sum, other) => sum + other.share * (other.t - t) ** 2, 0) / weight);
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
