import type { PictureQuality } from '../clip/picture-quality.ts';
import { BODY_FRACTION } from '../geometry/index.ts';
import { bodyTrack } from '../pose/body-track.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { medianOf } from '../signal/spread.ts';
import type { Direction, StartId } from '../starts/start.ts';
import { frameNote, lightNote, partsOutside, sizeNote } from './check-picture.ts';
import { usualLens } from './lens.ts';
import { offSideByBody, type OffSide } from './off-side.ts';
import type { PictureNote } from './picture-note.ts';

/** A still, or the first second of a clip: the athlete stands where the start will begin. */
export interface StillAnalysis {
  /** One frame or more. */
  readonly track: PoseTrack;
  readonly quality: Pick<PictureQuality, 'brightness'>;
  /** Pictures a second, null for a still. */
  readonly fps: number | null;
  /** The start that is to be filmed, null when not said. */
  readonly start: StartId | null;
}

/** What the pre-check found. */
export interface PreCheck {
  /** Worst first; empty when nothing is in the way. */
  readonly notes: readonly PictureNote[];
  /** No note is 'poor'. */
  readonly isReady: boolean;
  /** The athlete's standing height in pixels, out of the legs; null when nobody was seen. */
  readonly heightPx: number | null;
  /** Which way the feet point; null when nobody was seen. */
  readonly faces: Direction | null;
  /** How far off side-on the camera stands, as far as the body tells; null when it cannot. */
  readonly offSide: OffSide | null;
}

/** Highest fingertip over the floor between set and hands, standing heights: 1.19 to 1.35 over 84 rendered reps. */
const REACH_HEIGHTS = 1.35;
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
const WARN_FROM_DEG = 10;

/** Tests a still or the first second before filming: size, light, pictures a second, side-on, and room for arms overhead and hands on the floor in front. */
export function preCheck({ track, quality, fps, start }: StillAnalysis): PreCheck {
  const raw = bodyTrack(track, 'left-to-right');
  const legPx = legLengthPx(raw);
  if (!(legPx > 0)) return { notes: [{ kind: 'nobody-seen', severity: 'poor' }], isReady: false, heightPx: null, faces: null, offSide: null };
  const heightPx = legPx / LEG_SHARE;
  const feet = (['left', 'right'] as const).map((side) => medianOf(raw[side].toe.x) - medianOf(raw[side].heel.x));
  const faces: Direction = medianOf(feet) < 0 ? 'right-to-left' : 'left-to-right';
  const last = track.times[track.times.length - 1] ?? 0;
  const offSide = offSideByBody({
    body: bodyTrack(track, faces), direction: faces, legPx, widthPx: track.widthPx,
    lens: usualLens(track.widthPx, track.heightPx), plantS: last, handsS: last, fewestFrames: 1,
  });
  const floorY = Math.max(...(['left', 'right'] as const).flatMap((side) => [medianOf(raw[side].heel.y), medianOf(raw[side].toe.y)]).filter(Number.isFinite));
  const hipX = medianOf(raw.hipMid.x);
  const ahead = faces === 'left-to-right' ? track.widthPx - hipX : hipX;
  const cut = partsOutside(track, track.times.length - 1);
  const notes: PictureNote[] = [
    ...(cut.length > 0 ? [{ kind: 'cropped', parts: cut, moments: [], severity: 'poor' } as const] : []),
    ...missing('no-headroom', (REACH_HEIGHTS * heightPx - floorY) / heightPx),
    // Without knowing the start the shortest need is asked for.
    ...missing('no-room-ahead', ((start === null ? Math.min(...Object.values(ROOM_AHEAD_LEG)) : ROOM_AHEAD_LEG[start]) * legPx - ahead) / heightPx),
    ...sizeNote(heightPx),
    ...lightNote(quality.brightness),
    ...(fps === null ? [] : frameNote(fps)),
    ...(offSide !== null && Math.abs(offSide.yawDeg) >= WARN_FROM_DEG ? [{ kind: 'off-side', ...offSide, severity: 'hint' } as const] : []),
  ];
  notes.sort((a, b) => Number(b.severity === 'poor') - Number(a.severity === 'poor'));
  return { notes, isReady: notes.every((note) => note.severity !== 'poor'), heightPx, faces, offSide };
}

/** A note when room is missing, in standing heights. */
function missing(kind: 'no-headroom' | 'no-room-ahead', missingHeights: number): PictureNote[] {
  return missingHeights > 0 ? [{ kind, missingHeights, severity: 'poor' }] : [];
}
