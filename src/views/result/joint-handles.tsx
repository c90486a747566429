import { useEffect, useRef, useState } from 'react';
import styles from './joint-handles.module.css';
import { frameShownAt } from '../../overlay/scene.ts';
import { LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import type { PlacedJoint } from '../../pose/place-joints.ts';
import { landmarkAt } from '../../pose/pose-track.ts';
import type { Overrides, Reading } from '../../reading/reading.ts';
import type { Side } from '../../starts/start.ts';
import type { Clip } from '../../state/session.ts';
import { usePlayhead, useSession } from '../session-context.ts';

const PARTS = ['Shoulder', 'Elbow', 'Wrist', 'Hip', 'Knee', 'Ankle', 'Heel', 'FootIndex'] as const;

const PART_WORDS: Readonly<Record<(typeof PARTS)[number], string>> = {
  Shoulder: 'shoulder', Elbow: 'elbow', Wrist: 'wrist', Hip: 'hip', Knee: 'knee', Ankle: 'ankle', Heel: 'heel', FootIndex: 'toes',
};

/** Furthest that a press may land from a joint and still take hold of it, CSS pixels. */
const REACH_PX = 34;

/** Magnification of the loupe, times what is on screen. */
const LOUPE_ZOOM = 3;

interface Handle {
  readonly landmark: LandmarkName;
  readonly name: string;
  readonly side: Side;
  readonly x: number;
  readonly y: number;
  readonly isPlaced: boolean;
}

/** What the user stated, with one joint placed in the frame at t; another place of the same joint in that frame is replaced. */
export function placeJoint(overrides: Overrides, joint: PlacedJoint, spacingS: number): Overrides {
  const others = (overrides.joints ?? []).filter((each) => each.landmark !== joint.landmark || Math.abs(each.t - joint.t) > spacingS / 2);
  return { ...overrides, joints: [...others, joint] };
}

/** The joints of the frame on screen that can be dragged: where they were placed, else where they were found. */
function handlesAt(reading: Reading, t: number, placed: readonly PlacedJoint[], spacingS: number): readonly Handle[] {
  const frame = frameShownAt(reading.track, t);
  if (frame === null) return [];
  return (['left', 'right'] as const).flatMap((side) =>
    PARTS.flatMap((part): Handle[] => {
      const landmark: LandmarkName = `${side}${part}`;
      const own = placed.find((each) => each.landmark === landmark && Math.abs(each.t - t) <= spacingS / 2);
      const { x, y } = own ?? landmarkAt(reading.track, frame, LANDMARK_INDEX[landmark]);
      if (!Number.isFinite(x) || !Number.isFinite(y)) return [];
      return [{ landmark, name: `${side} ${PART_WORDS[part]}`, side, x, y, isPlaced: own !== undefined }];
    }),
  );
}

/** Handles on the joints of the frame on screen: drag one where it belongs, with a loupe beside the finger; arrow keys move it by a pixel. */
export function JointHandles({ clip, reading, video }: {
  readonly clip: Clip;
  readonly reading: Reading;
  readonly video: React.RefObject<HTMLVideoElement | null>;
}) {
  const session = useSession();
  const t = usePlayhead((state) => state.t);
  const box = useRef<HTMLDivElement>(null);
  const [held, setHeld] = useState<Handle | null>(null);
  const { track } = reading;
  const spacingS = track.times.length > 1 ? (track.times[1] ?? 0) - (track.times[0] ?? 0) : 1 / 30;
  const handles = handlesAt(reading, t, clip.history.present.joints ?? [], spacingS);

  const place = (handle: Handle) => {
    const frame = frameShownAt(track, t);
    const at = frame === null ? t : (track.times[frame] ?? t);
    session.state(clip.id, placeJoint(clip.history.present, { t: at, landmark: handle.landmark, x: handle.x, y: handle.y }, spacingS));
  };
  const pointAt = (event: React.PointerEvent): { x: number; y: number; scale: number } | null => {
    const area = box.current?.getBoundingClientRect();
    if (area === undefined || area.width === 0) return null;
    const scale = track.widthPx / area.width;
    const inside = (value: number, limit: number) => Math.min(Math.max(value, 0), limit);
    return { x: inside((event.clientX - area.left) * scale, track.widthPx), y: inside((event.clientY - area.top) * scale, track.heightPx), scale };
  };
  const shown = handles.map((handle) => (handle.landmark === held?.landmark ? held : handle));
  return (
    <div
      ref={box}
      className={styles['handles']}
      onPointerDown={(event) => {
        const at = pointAt(event);
        if (at === null) return;
        const away = (handle: Handle) => Math.hypot(handle.x - at.x, handle.y - at.y);
        const nearest = [...handles].sort((a, b) => away(a) - away(b))[0];
        if (nearest === undefined || away(nearest) > REACH_PX * at.scale) return;
        event.preventDefault();
        event.currentTarget.setPointerCapture(event.pointerId);
        setHeld(nearest);
      }}
      onPointerMove={(event) => {
        const at = held === null ? null : pointAt(event);
        if (held !== null && at !== null) setHeld({ ...held, x: at.x, y: at.y, isPlaced: true });
      }}
      onPointerUp={() => {
        if (held?.isPlaced === true) place(held);
        setHeld(null);
      }}
      onPointerCancel={() => { setHeld(null); }}
    >
      {shown.map((handle) => (
        <button
          key={handle.landmark}
          type="button"
          data-own-keys
          className={`${styles['handle'] ?? ''} ${handle.isPlaced ? (styles['placed'] ?? '') : handle.side === reading.lead.value ? '' : (styles['other'] ?? '')}`}
          style={{ insetInlineStart: `${(100 * handle.x) / track.widthPx}%`, insetBlockStart: `${(100 * handle.y) / track.heightPx}%` }}
          aria-label={`Move the ${handle.name}${handle.isPlaced ? ', placed by hand' : ''}`}
          title={handle.name}
          onKeyDown={(event) => {
            const by = event.shiftKey ? 5 : 1;
            const dx = event.key === 'ArrowLeft' ? -by : event.key === 'ArrowRight' ? by : 0;
            const dy = event.key === 'ArrowUp' ? -by : event.key === 'ArrowDown' ? by : 0;
            if (dx === 0 && dy === 0) return;
            event.preventDefault();
            place({ ...handle, x: handle.x + dx, y: handle.y + dy });
          }}
        />
      ))}
      {held !== null && <Loupe held={held} video={video} widthPx={track.widthPx} />}
    </div>
  );
}

/** The picture under the finger, enlarged, on the other side of the picture. */
function Loupe({ held, video, widthPx }: { readonly held: Handle; readonly video: React.RefObject<HTMLVideoElement | null>; readonly widthPx: number }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const surface = canvas.current;
    const picture = video.current;
    const ctx = surface?.getContext('2d') ?? null;
    if (surface === null || picture === null || ctx === null || picture.clientWidth === 0) return;
    const density = Math.min(window.devicePixelRatio || 1, 3);
    const side = Math.round(surface.clientWidth * density);
    surface.width = side;
    surface.height = side;
    const perPicture = picture.videoWidth / widthPx;
    const seen = (surface.clientWidth * widthPx) / (picture.clientWidth * LOUPE_ZOOM);
    ctx.drawImage(picture, (held.x - seen / 2) * perPicture, (held.y - seen / 2) * perPicture, seen * perPicture, seen * perPicture, 0, 0, side, side);
    ctx.lineWidth = 1.5 * density;
    for (const [colour, width] of [['#08232d', 4], ['#ffc629', 1.5]] as const) {
      ctx.strokeStyle = colour;
      ctx.lineWidth = width * density;
      ctx.beginPath();
      ctx.moveTo(side / 2, side * 0.3);
      ctx.lineTo(side / 2, side * 0.7);
      ctx.moveTo(side * 0.3, side / 2);
      ctx.lineTo(side * 0.7, side / 2);
      ctx.stroke();
    }
  });
  return (
    <div className={held.x > widthPx / 2 ? styles['loupeLeft'] : styles['loupeRight']}>
      <canvas ref={canvas} aria-hidden="true" />
      <p>{held.name}</p>
    </div>
  );
}
