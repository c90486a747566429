import { frameSpacing } from './frame-spacing.ts';
import { localFit, type LocalFit } from './local-fit.ts';

/** When values are at their top, seconds, and how far that may be off, one standard deviation. */
export interface TopInstant {
  readonly t: number;
  readonly sd: number;
}

/** How much wider the cubic looks than the parabola: as wide as it, noise would shake it twice as much. Chosen. */
const CUBIC_WIDTH = 4 / 3;
/** Fewest frames on either side that the parabola around a top looks at. */
export const LEAST_FRAMES = 2.6;

/**
 * The instant near `near` at which values that rise and fall are highest, to a fraction of a frame and at most one frame from
 * `near`. A parabola within `halfWidthS` is shaken little by noise, but takes a top for even and comes early where what rose
 * slowly falls fast, by `unevenS` on tops like these (root mean square). A cubic sees how uneven a top is and is shaken more.
 * Between them the instant lies where noise and unevenness together are least: the noise of a parabola is part of that of a
 * cubic, which adds to it. Null where there is no top: too few points, or no curvature downward.
 */
export function topInstant(times: Float64Array, values: Float64Array, near: number, halfWidthS: number, unevenS: number): TopInstant | null {
  const step = frameSpacing(times, near);
  const evenWidthS = Math.max(halfWidthS, LEAST_FRAMES * step);
  const top = (widthS: number, order: number): Top | null => topOf(localFit(times, values, null, near, widthS, order), step);
  const [even, uneven] = [top(evenWidthS, 2), top(evenWidthS * CUBIC_WIDTH, 3)];
  if (even === null) return null;
  if (uneven === null) return { t: near + even.shift, sd: Math.hypot(even.noiseSd * even.pointSd, unevenS) };
  // The cubic's residuals hold no unevenness.
  const [evenVar, unevenVar] = [even, uneven].map(({ noiseSd }) => (noiseSd * uneven.pointSd) ** 2) as [number, number];
  const more = Math.max(0, unevenVar - evenVar);
  const share = unevenS === 0 ? 1 : more / (more + unevenS ** 2);
  return { t: near + share * even.shift + (1 - share) * uneven.shift, sd: Math.sqrt(evenVar + share * unevenS ** 2) };
}

/** The top of a fit, seconds from its middle, its noise where each point carries noise of 1, and the noise that the points carry. */
interface Top {
  readonly shift: number;
  readonly noiseSd: number;
  readonly pointSd: number;
}

/** Where the slope of a fit comes to nothing, at most a frame away; null without curvature downward or without a point to spare. */
function topOf(fit: LocalFit | null, step: number): Top | null {
  if (fit === null || !(fit.second < 0) || fit.residualSd === null) return null;
  return { shift: Math.max(-step, Math.min(step, -fit.first / fit.second)), noiseSd: fit.firstNoise / -fit.second, pointSd: fit.residualSd };
}
