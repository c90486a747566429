import { useEffect, useMemo, useRef } from 'react';
import styles from './stills-strip.module.css';
import { drawScene } from '../../overlay/draw-scene.ts';
import { buildScene } from '../../overlay/scene.ts';
import type { MomentId } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import { momentsInOrder } from '../../state/moments-in-order.ts';
import { MOMENT_WORDS, WHY_WORDS } from '../../cues/index.ts';
import { useSession, useSessionState } from '../session-context.ts';
import { stillCrops, type Crop } from './still-crops.ts';
import type { MomentStill, Stills } from './use-stills.ts';

/** The key moments as stills from the decoder, hanging from the floor line in the order of their times. */
export function StillsStrip({ reading, stills }: { readonly reading: Reading; readonly stills: Stills }) {
  const session = useSession();
  const selected = useSessionState((state) => state.moment);
  const crops = useMemo(() => stillCrops(reading), [reading]);
  return (
    <ol className={styles['strip']} aria-label="Key moments">
      {momentsInOrder(reading.moments).map((id, index) => {
        const moment = reading.moments[id];
        const isOn = id === selected;
        return (
          <li key={id} className={styles['item']}>
            <button
              type="button"
              className={isOn ? styles['on'] : styles['off']}
              aria-pressed={isOn}
              aria-label={`${index + 1}, ${MOMENT_WORDS[id].name}: ${moment.found ? MOMENT_WORDS[id].meaning : WHY_WORDS[moment.why].reason}`}
              onClick={() => { session.showMoment(id); }}
            >
              <Still reading={reading} moment={id} still={stills.get(id) ?? null} crop={crops.get(id) ?? null} />
              {!moment.found && <span className={styles['missing']}>not found</span>}
              <span className={styles['name']}>{MOMENT_WORDS[id].name}</span>
            </button>
          </li>
        );
      })}
    </ol>
  );
}

/** Moves a stretch that starts at `from` into a picture's side, where it fits; else leaves it centred as it is. */
function inside(from: number, length: number, side: number): number {
  return length > side ? from : Math.min(Math.max(from, 0), side - length);
}

function Still({ reading, moment, still, crop }: {
  readonly reading: Reading;
  readonly moment: MomentId;
  readonly still: MomentStill | null;
  readonly crop: Crop | null;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const surface = canvas.current;
    if (surface === null || crop === null) return;
    const ctx = surface.getContext('2d');
    if (ctx === null) return;
    const draw = () => {
      const density = Math.min(window.devicePixelRatio || 1, 3);
      const width = Math.round(surface.clientWidth * density);
      const height = Math.round(surface.clientHeight * density);
      if (width === 0 || height === 0) return;
      surface.width = width;
      surface.height = height;
      const scale = Math.min(width, height) / crop.sidePx;
      const left = inside(crop.x + crop.sidePx / 2 - width / scale / 2, width / scale, reading.track.widthPx);
      const top = inside(crop.y + crop.sidePx / 2 - height / scale / 2, height / scale, reading.track.heightPx);
      const shown = reading.moments[moment];
      if (still !== null) {
        const { bitmap } = still;
        const perPicture = bitmap.width / reading.track.widthPx;
        ctx.drawImage(bitmap, left * perPicture, top * perPicture, (width / scale) * perPicture, (height / scale) * perPicture, 0, 0, width, height);
      }
      ctx.translate(-left * scale, -top * scale);
      // A moment that is moving keeps the frame it had, with the shape of that frame, until the new one is decoded.
      const t = still?.t ?? (shown.found ? shown.t : null);
      const scene = t === null ? null : buildScene(reading, t, moment);
      if (scene !== null) {
        drawScene(ctx, scene, { scale, density: density * 0.55, bodyAlpha: still === null ? 1 : 0.55, measure: null, withNumbers: false, textPx: 12 });
      }
    };
    draw();
    const observer = new ResizeObserver(draw);
    observer.observe(surface);
    return () => { observer.disconnect(); };
  }, [reading, moment, still, crop]);
  return <canvas ref={canvas} className={styles['still']} aria-hidden="true" />;
}
