import { useRef, useState } from 'react';
import styles from './point-pad.module.css';
import { Loupe } from './loupe.tsx';

/** A point on the picture that can be dragged, display pixels. */
export interface PadPoint {
  readonly key: string;
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly look: 'white' | 'blue' | 'placed';
}

/** Furthest that a press may land from a point and still take hold of it, CSS pixels. */
const REACH_PX = 34;

/**
 * Points over the picture: drag one where it belongs, with a loupe beside the finger; arrow keys move it by a pixel, with Shift
 * by five. Where a press takes hold of none and `onPress` is given, it makes a new one.
 */
export function PointPad({ points, size, video, onPlace, onPress, children }: {
  readonly points: readonly PadPoint[];
  /** Display size of the picture, pixels. */
  readonly size: { readonly widthPx: number; readonly heightPx: number };
  readonly video: React.RefObject<HTMLVideoElement | null>;
  /** Called when a point has been let go of, or moved by a key. */
  readonly onPlace: (key: string, at: { readonly x: number; readonly y: number }) => void;
  /** Called with a press beside every point; the key and name of the point that it makes, or null. */
  readonly onPress?: () => { readonly key: string; readonly name: string } | null;
  readonly children?: (shown: readonly PadPoint[]) => React.ReactNode;
}) {
  const box = useRef<HTMLDivElement>(null);
  const [held, setHeld] = useState<PadPoint | null>(null);
  const { widthPx, heightPx } = size;
  const pointAt = (event: React.PointerEvent): { x: number; y: number; scale: number } | null => {
    const area = box.current?.getBoundingClientRect();
    if (area === undefined || area.width === 0) return null;
    const scale = widthPx / area.width;
    const inside = (value: number, limit: number) => Math.min(Math.max(value, 0), limit);
    return { x: inside((event.clientX - area.left) * scale, widthPx), y: inside((event.clientY - area.top) * scale, heightPx), scale };
  };
  const isNew = held !== null && points.every((point) => point.key !== held.key);
  const shown = [...points.map((point) => (point.key === held?.key ? held : point)), ...(isNew ? [held] : [])];
  return (
    <div
      ref={box}
      className={styles['pad']}
      onPointerDown={(event) => {
        const at = pointAt(event);
        if (at === null) return;
        const away = (point: PadPoint) => Math.hypot(point.x - at.x, point.y - at.y);
        const nearest = points.toSorted((a, b) => away(a) - away(b))[0];
        if (nearest !== undefined && away(nearest) <= REACH_PX * at.scale) setHeld(nearest);
        else {
          const made = onPress?.() ?? null;
          if (made === null) return;
          setHeld({ ...made, x: at.x, y: at.y, look: 'placed' });
        }
        event.preventDefault();
        event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        const at = held === null ? null : pointAt(event);
        if (held !== null && at !== null) setHeld({ ...held, x: at.x, y: at.y, look: 'placed' });
      }}
      onPointerUp={() => {
        if (held?.look === 'placed') onPlace(held.key, { x: held.x, y: held.y });
        setHeld(null);
      }}
      onPointerCancel={() => { setHeld(null); }}
    >
      {children?.(shown)}
      {shown.map((point) => (
        <button
          key={point.key}
          type="button"
          data-own-keys
          className={`${styles['point'] ?? ''} ${styles[point.look] ?? ''}`}
          style={{ insetInlineStart: `${(100 * point.x) / widthPx}%`, insetBlockStart: `${(100 * point.y) / heightPx}%` }}
          aria-label={`Move the ${point.name}${point.look === 'placed' ? ', placed by hand' : ''}`}
          title={point.name}
          onKeyDown={(event) => {
            const by = event.shiftKey ? 5 : 1;
            const dx = event.key === 'ArrowLeft' ? -by : event.key === 'ArrowRight' ? by : 0;
            const dy = event.key === 'ArrowUp' ? -by : event.key === 'ArrowDown' ? by : 0;
            if (dx === 0 && dy === 0) return;
            event.preventDefault();
            onPlace(point.key, { x: point.x + dx, y: point.y + dy });
          }}
        />
      ))}
      {held !== null && <Loupe at={held} name={held.name} video={video} widthPx={widthPx} />}
    </div>
  );
}
