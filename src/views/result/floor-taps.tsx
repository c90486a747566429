import styles from './floor-taps.module.css';
import { nextTap, tapped, TAP_NAMES, type FloorDraft } from './floor-draft.ts';
import { PointPad, type PadPoint } from './point-pad.tsx';

/** The taps on the floor over the picture, with the line or the mat that they make; the side along the run is thick. */
export function FloorTaps({ draft, size, video, onChange }: {
  readonly draft: FloorDraft;
  readonly size: { readonly widthPx: number; readonly heightPx: number };
  readonly video: React.RefObject<HTMLVideoElement | null>;
  readonly onChange: (draft: FloorDraft) => void;
}) {
  const names = TAP_NAMES[draft.kind];
  const points = draft.taps.map((tap, index): PadPoint => ({ key: names[index] ?? '', name: names[index] ?? '', ...tap, look: 'placed' }));
  return (
    <PointPad
      points={points}
      size={size}
      video={video}
      onPlace={(name, at) => { onChange(tapped(draft, name, at)); }}
      onPress={() => {
        const name = nextTap(draft);
        return name === null ? null : { key: name, name };
      }}
    >
      {(shown) => (
        <svg viewBox={`0 0 ${size.widthPx} ${size.heightPx}`} preserveAspectRatio="none" aria-hidden="true">
          {shown.slice(1).map((point, index) => {
            const from = shown[index];
            return from === undefined ? null : (
              <path key={point.key} d={`M${from.x} ${from.y}L${point.x} ${point.y}`} className={index % 2 === 0 ? styles['along'] : styles['across']} />
            );
          })}
          {shown.length === 4 && shown[0] !== undefined && shown[3] !== undefined && (
            <path d={`M${shown[3].x} ${shown[3].y}L${shown[0].x} ${shown[0].y}`} className={styles['across']} />
          )}
        </svg>
      )}
    </PointPad>
  );
}
