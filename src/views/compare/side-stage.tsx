import { fitCanvas } from '../parts/fit-canvas.ts';
import { useEffect, useRef } from 'react';
import styles from './side-by-side.module.css';
import { CLIP_INKS, drawScene, type Inks } from '../../overlay/draw-scene.ts';
import { buildScene } from '../../overlay/scene.ts';
import type { MomentId } from '../../phases/moment.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import { layScene, type Laying } from './place-scene.ts';
import type { SideRep } from './side-by-side.tsx';
import { hipsAt, travelInLegs } from './side-model.ts';

/** A rep at one clip second; `atS` is its common moment. */
export interface Shown {
  readonly rep: SideRep;
  readonly t: number;
  readonly atS: number;
}

/** The one behind is drawn pale and in one colour, so that it is told apart by more than place. */
const PALE: Inks = { mark: '#9bb4ba', lead: '#9bb4ba', other: '#6f8b93', halo: 'rgba(6, 18, 22, 0.4)', onMark: '#10211e' };

/** Leg lengths of floor that a stage shows at least, and room at the ends. */
const FEWEST_LEGS = 4;
const ROOM_LEGS = 1;
/** The body on an empty floor covers nothing: it may be drawn this much thicker. */
const FIGURE_THICKNESS = 2.2;
/** Height of the line figure's stage: a jump with the arms up, in leg lengths. */
const HEIGHT_LEGS = 2.75;

/** One or two reps on their floor at the common time: the kept clip with its drawing, or the line figure out of the stored track. */
export function SideStage({ label, caption, front, behind, moment, measure }: {
  readonly label: string;
  readonly caption: React.ReactNode;
  readonly front: Shown;
  readonly behind: Shown | null;
  readonly moment: MomentId | null;
  readonly measure: MeasureId | null;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const video = useRef<HTMLVideoElement>(null);
  const { reading, clipUrl } = front.rep;
  const hasClip = clipUrl !== null && behind === null;

  useEffect(() => {
    const surface = canvas.current;
    const ctx = surface?.getContext('2d');
    if (surface === null || ctx === null || ctx === undefined) return;
    const draw = () => {
      const { density, width, height } = fitCanvas(surface, ctx);
      if (width === 0) return;
      const textPx = Math.max(15, surface.clientWidth * 0.026);
      const place = { scale: 1, density, measure, textPx };
      if (hasClip) {
        const scene = buildScene(reading, front.t, moment);
        if (scene !== null) drawScene(ctx, scene, { ...place, scale: width / reading.track.widthPx, bodyAlpha: 0.75, withNumbers: true });
        return;
      }
      const floorY = height - 34 * density;
      const both = [front, ...(behind === null ? [] : [behind])];
      const spans = both.map((shown) => travelInLegs(shown.rep.reading, shown.atS));
      const low = Math.min(...spans.map((span) => span[0])) - ROOM_LEGS;
      const high = Math.max(...spans.map((span) => span[1])) + ROOM_LEGS;
      const legPx = Math.min(width / Math.max(high - low, FEWEST_LEGS), (floorY - 4 * density) / HEIGHT_LEGS);
      const turnsLeft = front.rep.reading.direction.value === 'right-to-left';
      const zeroX = width / 2 + (turnsLeft ? 1 : -1) * ((low + high) / 2) * legPx;
      drawFloor(ctx, { width, floorY, zeroX, legPx, density });
      const laying = (shown: Shown): Laying => ({
        scale: legPx / shown.rep.reading.legLengthPx,
        fromX: hipsAt(shown.rep.reading, shown.atS)?.x ?? 0, toX: zeroX,
        fromY: shown.rep.reading.floorYPx, toY: floorY,
        isMirrored: shown.rep.reading.direction.value !== front.rep.reading.direction.value,
      });
      if (behind !== null) {
        const scene = buildScene(behind.rep.reading, behind.t, moment);
        if (scene !== null) drawScene(ctx, layScene(scene, laying(behind)), { ...place, bodyAlpha: 1, withNumbers: false, thickness: FIGURE_THICKNESS }, PALE);
      }
      const scene = buildScene(reading, front.t, moment);
      if (scene !== null) drawScene(ctx, layScene(scene, laying(front)), { ...place, bodyAlpha: 1, withNumbers: true, thickness: FIGURE_THICKNESS }, CLIP_INKS);
      surface.dataset['frameS'] = front.t.toFixed(4);
    };
    draw();
    const observer = new ResizeObserver(draw);
    observer.observe(surface);
    return () => { observer.disconnect(); };
  }, [front, behind, reading, moment, measure, hasClip]);

  useEffect(() => {
    const element = video.current;
    if (element === null || !hasClip) return;
    const { times } = reading.track;
    const frame = nearestFrame(times, front.t);
    const shown = times[frame] ?? front.t;
    const next = times[frame + 1] ?? shown + 1 / 60;
    // Half-way into the frame, so that rounding in the browser cannot land on its neighbour.
    const seek = () => { element.currentTime = (shown + next) / 2; };
    if (element.readyState >= 1) seek();
    else element.addEventListener('loadedmetadata', seek, { once: true });
    return () => { element.removeEventListener('loadedmetadata', seek); };
  }, [front.t, reading, hasClip]);

  const frame = nearestFrame(reading.track.times, front.t);
  return (
    <figure className={styles['stage']} aria-label={label}>
      <div className={hasClip ? styles['clip'] : styles['figure']} style={hasClip ? { aspectRatio: `${reading.track.widthPx} / ${reading.track.heightPx}` } : undefined}>
        {hasClip && <video ref={video} src={clipUrl} muted playsInline preload="auto" aria-label={label} />}
        <canvas ref={canvas} aria-hidden="true" />
      </div>
      <figcaption>
        <span>{caption}</span>
        {behind === null && <span>frame {frame + 1} of {reading.track.times.length}</span>}
      </figcaption>
    </figure>
  );
}

function drawFloor(ctx: CanvasRenderingContext2D, floor: { readonly width: number; readonly floorY: number; readonly zeroX: number; readonly legPx: number; readonly density: number }): void {
  const { width, floorY, zeroX, legPx, density } = floor;
  ctx.save();
  ctx.strokeStyle = '#ffffff';
  ctx.lineWidth = 4 * density;
  ctx.beginPath();
  ctx.moveTo(0, floorY + 2 * density);
  ctx.lineTo(width, floorY + 2 * density);
  ctx.stroke();
  ctx.strokeStyle = '#b9cfd2';
  ctx.fillStyle = '#f2f7f5';
  ctx.lineWidth = 2 * density;
  ctx.font = `700 ${15 * density}px "Bahnschrift", "DIN Alternate", "Avenir Next Condensed", "Roboto Condensed", "Liberation Sans Narrow", sans-serif`;
  ctx.textAlign = 'center';
  for (let leg = Math.ceil(-zeroX / legPx); leg <= (width - zeroX) / legPx; leg += 1) {
    const x = zeroX + leg * legPx;
    ctx.beginPath();
    ctx.moveTo(x, floorY + 4 * density);
    ctx.lineTo(x, floorY + 13 * density);
    ctx.stroke();
    if (x > 20 * density && x < width - 20 * density && leg !== 0) ctx.fillText(`${leg < 0 ? '−' : ''}${Math.abs(leg)}${Math.abs(leg) === 1 ? ' leg' : ''}`, x, floorY + 29 * density);
  }
  ctx.restore();
}
