import { check } from '../checker/check.ts';
import { cuesFor } from '../cues/index.ts';
import { legLengthFromHeightM } from '../geometry/index.ts';
import { findRep, type Rep } from '../phases/find-rep.ts';
import { cleanTrack, smoothTrack } from '../pose/clean-track.ts';
import { repairSwaps } from '../pose/repair-swaps.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { measureRep } from '../shapes/measure-rep.ts';
import { DEFAULT_PROFILE } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import type { TimeBase } from '../clip/clip-info.ts';
import type { Overrides, Reading } from './reading.ts';

/** Leg length as a share of height spreads this much between people, one relative standard deviation. From memory, not checked: 3 %. */
const LEG_SHARE_RELATIVE_SD = 0.03;

/** What a reading needs of a clip's analysis. */
export interface Readable {
  /** Raw track, no repair and no smoothing. */
  readonly track: PoseTrack;
  readonly clip: { readonly timeBase: TimeBase };
}

/**
 * Everything Lungeline says about one rep: pure, from the raw track, what the user stated, and the coach's tolerances.
 * Runs no model, so it is recomputed whenever an override changes.
 */
export function readClip({ track, clip }: Readable, overrides: Overrides = {}, profile: Profile = DEFAULT_PROFILE): Reading {
  const { clean, smooth } = prepare(track);
  const rep = findRep(clean, overrides);
  const timeBase = overrides.timeBase ?? clip.timeBase;
  const scale = scaleFromHeight(rep, overrides.heightM);
  const measures = measureRep(rep, { timeBase, scale, widthPx: track.widthPx, heightPx: track.heightPx });
  const findings = check(rep.start.value, measures, profile, rep.lead.value);
  return {
    start: rep.start,
    lead: rep.lead,
    direction: rep.direction,
    timeBase,
    legLengthPx: rep.legPx,
    metresPerPixel: scale?.metresPerPixel ?? null,
    moments: rep.moments,
    steps: rep.steps.map((step) => ({ ...step, xPx: rep.direction.value === 'right-to-left' ? -step.xPx : step.xPx })),
    measures,
    findings,
    cues: cuesFor(findings, rep.start.value, profile),
    track: smooth,
    floorYPx: rep.contacts.findLast((contact) => contact.foot === rep.lead.value)?.floorY ?? rep.floorY,
  };
}

/** Repair and smoothing depend on the raw track alone: done once a track, however often overrides change. */
const prepared = new WeakMap<PoseTrack, { readonly clean: PoseTrack; readonly smooth: PoseTrack }>();

function prepare(track: PoseTrack): { readonly clean: PoseTrack; readonly smooth: PoseTrack } {
  const known = prepared.get(track);
  if (known !== undefined) return known;
  const clean = cleanTrack(repairSwaps(track).track);
  const fresh = { clean, smooth: smoothTrack(clean) };
  prepared.set(track, fresh);
  return fresh;
}

/** The athlete's height gives the leg length in metres by body fractions (adults; a child's leg is better measured), and so the scale. */
function scaleFromHeight(rep: Rep, heightM: number | undefined): { metresPerPixel: number; relativeSd: number } | null {
  if (heightM === undefined || !(rep.legPx > 0)) return null;
  return { metresPerPixel: legLengthFromHeightM(heightM) / rep.legPx, relativeSd: LEG_SHARE_RELATIVE_SD };
}
