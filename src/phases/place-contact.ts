import type { Path } from '../pose/body-track.ts';
import type { FamilyChannel } from '../signal/family-samples.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { refineInstant } from '../signal/refine-instant.ts';
import { placeFamily, type ShapeFamily } from '../signal/shape-family.ts';
import type { Instant } from './moment.ts';

/** How far from a first look the instant is sought: seconds, three frames at 60 fps, and at least so many frames. Chosen. */
const WITHIN_S = 0.05;
const WITHIN_FRAMES = 2.5;
/** No landmark is surer than this, leg lengths. Chosen: half a pixel of an athlete who fills half the picture. */
const SUREST_LEG = 0.004;
/** Deviation of a point whose model states none, leg lengths. Chosen: what the joint head states on rendered clips. */
const UNSTATED_LEG = 0.015;
/** By how much the family's own deviation falls short of its errors. Chosen on 54 drawn starts with the head's noise, none of them learned from. */
const SHORTFALL = 1.5;
/** The step that refines the first look sees the same frames again, so the first look counts twice: half its variance. */
const SAME_FRAMES = Math.SQRT1_2;

/** When points touch or leave the floor, by the family of all the ways in which such points do; null where too few frames show it. */
export function placeContact(family: ShapeFamily, times: Float64Array, points: readonly Path[], near: number, legPx: number): Instant | null {
  if (!(legPx > 0)) return null;
  const channels = points.flatMap((path): FamilyChannel[] => {
    const sd = path.sd.map((px) => Math.max(Number.isFinite(px) ? px / legPx : UNSTATED_LEG, SUREST_LEG));
    return [path.x, path.y].map((values) => ({ values: values.map((px) => px / legPx), sd }));
  });
  const likeliest = placeFamily(family, times, channels, near, Math.max(WITHIN_S, WITHIN_FRAMES * frameSpacing(times, near)));
  if (likeliest === null) return null;
  const place = refineInstant(family, times, channels, { t: likeliest.t, sd: SAME_FRAMES * likeliest.sd }) ?? likeliest;
  return { t: place.t, sd: Math.max(frameSpacing(times, place.t) / Math.sqrt(12), SHORTFALL * place.sd * Math.sqrt(Math.max(1, place.misfit))) };
}
