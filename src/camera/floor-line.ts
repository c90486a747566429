import type { FootContact } from '../phases/foot-contacts.ts';
import { degreesOf } from '../units/degrees.ts';
import type { Estimate } from './growth-cue.ts';
import { solveLinear } from './solve-linear.ts';

/** Error of the row on which a foot seems to stand, leg lengths, one standard deviation: toe and heel landmarks off by 0.03 each on their own, and in one frame. */
const CONTACT_SD_LEG = 0.06;
/** How much lower the nearer foot stands in the picture, leg lengths, one standard deviation: feet 0.2 m apart seen from 1 m height and 5 m away, and landmark bias of that foot. */
const NEAR_FAR_SD_LEG = 0.07;
/** Contacts that span less of the picture, in leg lengths, tell nothing. Chosen. */
const SHORTEST_SPAN_LEG = 0.8;

/**
 * How far the floor line through all standing feet drops toward the right of the picture, degrees with one standard
 * deviation: camera roll, plus what a camera off side-on adds. Null with fewer than two places far enough apart.
 */
export function floorLineDeg(contacts: readonly FootContact[], toDisplay: 1 | -1, legPx: number): Estimate | null {
  const seen = contacts.filter((contact) => Number.isFinite(contact.ankleX) && Number.isFinite(contact.floorY));
  const places = seen.map((contact) => contact.ankleX);
  if (seen.length < 2 || Math.max(...places) - Math.min(...places) < SHORTEST_SPAN_LEG * legPx) return null;
  const middle = places.reduce((sum, x) => sum + x, 0) / places.length;
  // Unknown: height of the line, its slope, and how much lower the left foot stands; the last is small beforehand.
  const normal = [[0, 0, 0], [0, 0, 0], [0, 0, 1 / NEAR_FAR_SD_LEG ** 2]];
  const right = [0, 0, 0];
  for (const contact of seen) {
    const row = [1, (toDisplay * (contact.ankleX - middle)) / legPx, contact.foot === 'left' ? 0.5 : -0.5];
    row.forEach((a, i) => {
      row.forEach((b, k) => (normal[i]![k] = normal[i]![k]! + (a * b) / CONTACT_SD_LEG ** 2));
      right[i] = right[i]! + (a * contact.floorY) / legPx / CONTACT_SD_LEG ** 2;
    });
  }
  const line = solveLinear(normal, right);
  const spread = solveLinear(normal, [0, 1, 0]);
  if (line === null || spread === null) return null;
  return { value: degreesOf(Math.atan(line[1]!)), sd: degreesOf(Math.sqrt(spread[1]!)) };
}
