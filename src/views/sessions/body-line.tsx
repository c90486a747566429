import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import type { PoseTrack } from '../../pose/pose-track.ts';
import type { Side } from '../../starts/start.ts';
import { otherSide } from '../../starts/start.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import styles from './rep-list.module.css';

/** Room around the body, as a part of its size. */
const ROOM = 0.12;

/** The body line of one frame of a stored track, as large as its place. */
export function BodyLine({ track, t, lead }: { readonly track: PoseTrack; readonly t: number; readonly lead: Side }) {
  const frame = nearestFrame(track.times, t);
  const at = (name: LandmarkName): readonly [number, number] => {
    const index = (frame * LANDMARK_COUNT + LANDMARK_INDEX[name]) * 2;
    return [track.xy[index] ?? Number.NaN, track.xy[index + 1] ?? Number.NaN];
  };
  const path = (...names: readonly LandmarkName[]) => {
    const points = names.map(at).filter(([x, y]) => Number.isFinite(x) && Number.isFinite(y));
    return points.length < 2 ? '' : `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}`;
  };
  const leg = (side: Side) => path(`${side}Shoulder`, `${side}Hip`, `${side}Knee`, `${side}Ankle`, `${side}FootIndex`);
  const arm = (side: Side) => path(`${side}Shoulder`, `${side}Elbow`, `${side}Wrist`);
  const seen = (['left', 'right'] as const)
    .flatMap((side) => [at(`${side}Shoulder`), at(`${side}Wrist`), at(`${side}Hip`), at(`${side}Ankle`), at(`${side}FootIndex`)])
    .filter(([x, y]) => Number.isFinite(x) && Number.isFinite(y));
  if (seen.length < 4) return null;
  const xs = seen.map(([x]) => x);
  const ys = seen.map(([, y]) => y);
  const side = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) * (1 + 2 * ROOM);
  const left = (Math.max(...xs) + Math.min(...xs)) / 2 - side / 2;
  // The feet stand on the line under the picture.
  const top = Math.max(...ys) - side * 0.97;
  return (
    <svg className={styles['body']} viewBox={`${left} ${top} ${side} ${side}`} aria-hidden="true">
      <path d={`${leg(otherSide(lead))}${arm(otherSide(lead))}`} className={styles['other']} strokeWidth={side * 0.035} />
      <path d={`${leg(lead)}${arm(lead)}`} strokeWidth={side * 0.045} />
    </svg>
  );
}
