import { farthestShiftPx } from '../clip/background-motion.ts';
import type { PictureQuality } from '../clip/picture-quality.ts';
import { BODY_FRACTION } from '../geometry/index.ts';
import { bodyTrack } from '../pose/body-track.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { medianOf } from '../signal/spread.ts';
import type { Direction, StartId } from '../starts/start.ts';
import { blurNote, frameNote, lightNote, partsOutside, shakeNote, sharpnessLeft, sizeNote, softNote } from './check-picture.ts';
import { usualLens, type Lens } from './lens.ts';
import { offSideByBody, type OffSide } from './off-side.ts';
import type { PictureNote } from './picture-note.ts';

/** A still, or the first second of a clip: the athlete stands where the start will begin. */
export interface StillAnalysis {
  /** One frame or more. */
  readonly track: PoseTrack;
  readonly quality: Pick<PictureQuality, 'brightness'> & Partial<Pick<PictureQuality, 'sharpness' | 'sharpnessByFrame' | 'background'>>;
  /** Pictures a second, null for a still. */
  readonly fps: number | null;
  /** The start that is to be filmed, null when not said. */
  readonly start: StartId | null;
  /** The lens, where the file states it; a usual phone's when left out. */
  readonly lens?: Lens;
  /** People in view beside the athlete, 0 unless said. */
  readonly others?: number;
}

/** What is looked at before filming, in the order in which a phone is put up. */
export const PRE_CHECK_IDS = [
  'whole-body', 'height', 'distance', 'side-on', 'room-above', 'room-ahead', 'light', 'focus', 'smear', 'pictures', 'still-phone', 'others',
] as const;

/** One thing that is looked at. */
export type PreCheckId = (typeof PRE_CHECK_IDS)[number];

/** One thing that was looked at: its figure, and what is wrong with it. */
export interface PreCheckRow {
  readonly id: PreCheckId;
  /**
   * Pixels of height, body heights of distance and of room above, leg lengths of room ahead, degrees off side-on, shares
   * of light, sharpness and smear, pictures a second, leg lengths of shake, people. Null where this picture cannot tell.
   */
  readonly figure: number | null;
  /** One standard deviation of the figure, null where none is known. */
  readonly sd: number | null;
  readonly note: PictureNote | null;
}

/** What the pre-check found. */
export interface PreCheck {
  /** Worst first; empty when nothing is in the way. */
  readonly notes: readonly PictureNote[];
  /** Everything that was looked at, one row each; empty when nobody, or no leg, was seen. */
  readonly rows: readonly PreCheckRow[];
  /** No note is 'poor'. */
  readonly isReady: boolean;
  /** The athlete's standing height in pixels, out of the legs; null when nobody was seen. */
  readonly heightPx: number | null;
  /** Which way the feet point; null when nobody was seen. */
  readonly faces: Direction | null;
  /** How far off side-on the camera stands, as far as the body tells; null when it cannot. */
  readonly offSide: OffSide | null;
  /** What the start needs of the picture: the row that fingertips reach, and the column where the hands come down; null when nobody was seen. */
  readonly needs: { readonly topPx: number; readonly aheadPx: number; readonly floorPx: number } | null;
}

/** Highest fingertip over the floor between set and hands, standing heights: 1.19 to 1.35 over 84 rendered reps. */
export const REACH_HEIGHTS = 1.35;
/**
 * From the hips in the set posture to where the hands come down, and a hand more, in leg lengths: the farthest of 14
 * rendered reps a start, rounded up. Real athletes differ.
 */
const ROOM_AHEAD_LEG: Readonly<Record<StartId, number>> = {
  'two-step-run': 6,
  'power-hurdle': 4.4,
  'sprint-lunge': 3.7,
  'hop-from-passe': 4.2,
  'tip-from-passe': 3,
  'half-kneeling': 3.7,
};
/** Leg (thigh + shank) as a share of height, adults. */
const LEG_SHARE = BODY_FRACTION.thigh + BODY_FRACTION.shank;
/** Legs as a share of height spread this much between people, one relative standard deviation. From memory, not checked. */
const HEIGHT_SHARE_SD = 0.03;
const WARN_FROM_DEG = 10;
/**
 * Body heights to the camera: 8 m for 1.6 m, 5 m at least. A body half a width (0.15 m) off its line is then seen within
 * 2 % of its size, within 3 % at 5 m (geometry, CG-5; FL-7).
 */
export const WANTED_DISTANCE_HEIGHTS = { best: 5, least: 3 } as const;
/** Nearer than this, near and far leg differ by a tenth in size (0.3 m at 3 m, CG-5). */
const TOO_NEAR_HEIGHTS = 2;
/** A body of which nothing moves faster than this says nothing of smear, leg lengths a second. Chosen: a slow walk's hips. */
const MOVES_FROM_LEG_S = 1;

/** Leg lengths of floor in front of the hips that a start needs; the shortest need when the start is not said. */
export function roomAheadLeg(start: StartId | null): number {
  return start === null ? Math.min(...Object.values(ROOM_AHEAD_LEG)) : ROOM_AHEAD_LEG[start];
}

/** Tests a still or the first second before filming: size, distance, side-on, room overhead and ahead, light, sharpness, pictures a second. */
export function preCheck({ track, quality, fps, start, lens = usualLens(track.widthPx, track.heightPx), others = 0 }: StillAnalysis): PreCheck {
  const raw = bodyTrack(track, 'left-to-right');
  const legPx = legLengthPx(raw);
  if (!(legPx > 0)) {
    // Somebody without legs: they lie outside the picture, or behind something.
    const isSomebody = track.xy.some(Number.isFinite);
    return { notes: [isSomebody ? { kind: 'cropped', parts: ['feet'], moments: [], severity: 'poor' } : { kind: 'nobody-seen', severity: 'poor' }], rows: [], isReady: false, heightPx: null, faces: null, offSide: null, needs: null };
  }
  const heightPx = legPx / LEG_SHARE;
  const feet = (['left', 'right'] as const).map((side) => medianOf(raw[side].toe.x) - medianOf(raw[side].heel.x));
  const faces: Direction = medianOf(feet) < 0 ? 'right-to-left' : 'left-to-right';
  const last = track.times[track.times.length - 1] ?? 0;
  const offSide = offSideByBody({
    body: bodyTrack(track, faces), direction: faces, legPx, widthPx: track.widthPx, lens, plantS: last, handsS: last, fewestFrames: 1,
  });
  const floorPx = Math.max(...(['left', 'right'] as const).flatMap((side) => [medianOf(raw[side].heel.y), medianOf(raw[side].toe.y)]).filter(Number.isFinite));
  const hipX = medianOf(raw.hipMid.x);
  const ahead = faces === 'left-to-right' ? track.widthPx - hipX : hipX;
  const needLeg = roomAheadLeg(start);
  const cut = partsOutside(track, track.times.length - 1);
  const heights = lens.focalPx / heightPx;
  const shareLeft = fastestLegS(track, legPx) >= MOVES_FROM_LEG_S ? sharpnessLeft(track, quality.sharpnessByFrame, Infinity) : null;
  const shiftPx = farthestShiftPx(quality.background);
  const sharpness = quality.sharpness ?? null;

  const row = (id: PreCheckId, figure: number | null, [note]: readonly PictureNote[], sd: number | null = null): PreCheckRow => ({ id, figure, sd, note: note ?? null });
  const rows: PreCheckRow[] = [
    row('whole-body', cut.length, cut.length > 0 ? [{ kind: 'cropped', parts: cut, moments: [], severity: 'poor' }] : []),
    row('height', heightPx, sizeNote(heightPx)),
    row('distance', heights, heights < WANTED_DISTANCE_HEIGHTS.least ? [{ kind: 'too-near', heights, wantedHeights: WANTED_DISTANCE_HEIGHTS.least, severity: heights < TOO_NEAR_HEIGHTS ? 'poor' : 'hint' }] : [], heights * lens.relativeSd),
    row('side-on', offSide?.yawDeg ?? null, offSide !== null && Math.abs(offSide.yawDeg) >= WARN_FROM_DEG ? [{ kind: 'off-side', ...offSide, severity: 'hint' }] : [], offSide?.sdDeg ?? null),
    row('room-above', floorPx / heightPx, missing('no-headroom', (REACH_HEIGHTS * heightPx - floorPx) / heightPx)),
    row('room-ahead', ahead / legPx, missing('no-room-ahead', (needLeg * legPx - ahead) / heightPx)),
    row('light', quality.brightness, lightNote(quality.brightness)),
    row('focus', sharpness, softNote(sharpness)),
    row('smear', shareLeft, blurNote(shareLeft)),
    row('pictures', fps, fps === null ? [] : frameNote(fps)),
    row('still-phone', shiftPx === null ? null : shiftPx / legPx, shakeNote(quality, legPx)),
    row('others', others, others > 0 ? [{ kind: 'others-in-view', count: others, severity: 'hint' }] : []),
  ];
  const notes = rows.flatMap(({ note }) => (note === null ? [] : [note]));
  notes.sort((a, b) => Number(b.severity === 'poor') - Number(a.severity === 'poor'));
  return {
    notes, rows, isReady: notes.every((note) => note.severity !== 'poor'), heightPx, faces, offSide,
    needs: { topPx: floorPx - REACH_HEIGHTS * heightPx, aheadPx: hipX + (faces === 'left-to-right' ? 1 : -1) * needLeg * legPx, floorPx },
  };
}

/** A note when room is missing, in standing heights; so little that the height read off the legs may be wrong by it (3 % of the reach) is a hint. */
function missing(kind: 'no-headroom' | 'no-room-ahead', missingHeights: number): PictureNote[] {
  return missingHeights > 0 ? [{ kind, missingHeights, severity: missingHeights < HEIGHT_SHARE_SD * REACH_HEIGHTS ? 'hint' : 'poor' }] : [];
}

/** The fastest of the wrists and ankles, leg lengths a second (median over its fastest quarter of frames); 0 for a still. */
function fastestLegS(track: PoseTrack, legPx: number): number {
  const body = bodyTrack(track, 'left-to-right');
  const speeds = (['left', 'right'] as const).flatMap((side) => [body[side].wrist, body[side].ankle]).map(({ x, y }) => {
    const own = Array.from(track.times.keys()).slice(1).map((i) => Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!) / (track.times[i]! - track.times[i - 1]!) / legPx)
      .filter(Number.isFinite).sort((a, b) => b - a);
    return own.length < 4 ? 0 : medianOf(own.slice(0, Math.ceil(own.length / 4)));
  });
  return Math.max(0, ...speeds);
}
