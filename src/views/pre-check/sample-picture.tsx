import { useEffect, useRef } from 'react';
import styles from './pre-check-screen.module.css';
import type { PreCheck } from '../../camera/index.ts';
import { LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import { landmarkAt, type PoseTrack } from '../../pose/pose-track.ts';
import type { Sample } from '../../../workers/sample.ts';

const LINES: readonly (readonly LandmarkName[])[] = [
  ['leftShoulder', 'rightShoulder', 'rightHip', 'leftHip', 'leftShoulder'],
  ...(['left', 'right'] as const).flatMap((side): LandmarkName[][] => [
    [`${side}Shoulder`, `${side}Elbow`, `${side}Wrist`],
    [`${side}Hip`, `${side}Knee`, `${side}Ankle`, `${side}Heel`, `${side}FootIndex`],
  ]),
];

/** The sample's picture with the body that was found, and what the start needs of the picture. */
export function SamplePicture({ sample, name, needs }: { readonly sample: Sample; readonly name: string; readonly needs: PreCheck['needs'] }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const surface = canvas.current;
    const ctx = surface?.getContext('2d');
    if (surface === null || ctx === null || ctx === undefined) return;
    const { picture, track } = sample;
    surface.width = picture.width;
    surface.height = picture.height;
    ctx.drawImage(picture, 0, 0);
    ctx.scale(picture.width / track.widthPx, picture.height / track.heightPx);
    const thick = track.widthPx / 240;
    drawBody(ctx, track, thick);
    if (needs !== null) drawNeeds(ctx, track, needs, thick);
  }, [sample, needs]);
  return <canvas ref={canvas} className={styles['picture']} role="img" aria-label={`${name}, with the body that was found`} />;
}

function drawBody(ctx: CanvasRenderingContext2D, track: PoseTrack, thick: number): void {
  const frame = track.times.length - 1;
  if (frame < 0) return;
  for (const [width, colour] of [[2.2 * thick, 'rgb(6 18 22 / 0.8)'], [thick, '#ffffff']] as const) {
    ctx.lineWidth = width;
    ctx.strokeStyle = colour;
    ctx.lineCap = 'round';
    ctx.lineJoin = 'round';
    for (const line of LINES) {
      const points = line.map((landmark) => landmarkAt(track, frame, LANDMARK_INDEX[landmark]));
      if (points.some(({ x }) => !Number.isFinite(x))) continue;
      ctx.beginPath();
      for (const { x, y } of points) ctx.lineTo(x, y);
      ctx.stroke();
    }
  }
}

function drawNeeds(ctx: CanvasRenderingContext2D, track: PoseTrack, { topPx, aheadPx, floorPx }: NonNullable<PreCheck['needs']>, thick: number): void {
  // What lies outside the picture is drawn on its edge.
  const inside = (value: number, limit: number): number => Math.min(Math.max(value, thick), limit - thick);
  const [top, ahead] = [inside(topPx, track.heightPx), inside(aheadPx, track.widthPx)];
  ctx.setLineDash([4 * thick, 3 * thick]);
  for (const [width, colour] of [[2 * thick, 'rgb(6 18 22 / 0.7)'], [thick, '#ffc629']] as const) {
    ctx.lineWidth = width;
    ctx.strokeStyle = colour;
    ctx.beginPath();
    ctx.moveTo(0, top);
    ctx.lineTo(track.widthPx, top);
    ctx.moveTo(ahead, Math.max(0, top));
    ctx.lineTo(ahead, Math.min(floorPx, track.heightPx));
    ctx.stroke();
  }
  ctx.setLineDash([]);
}
