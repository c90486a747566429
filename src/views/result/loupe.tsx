import { useEffect, useRef } from 'react';
import styles from './loupe.module.css';

/** Magnification of the loupe, times what is on screen. */
const ZOOM = 3;

/** The picture under the finger, enlarged, on the other side of the picture. */
export function Loupe({ at, name, video, widthPx }: {
  /** Where the finger is, display pixels. */
  readonly at: { readonly x: number; readonly y: number };
  readonly name: string;
  readonly video: React.RefObject<HTMLVideoElement | null>;
  /** Display width of the picture, pixels. */
  readonly widthPx: number;
}) {
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
    const seen = (surface.clientWidth * widthPx) / (picture.clientWidth * ZOOM);
    ctx.drawImage(picture, (at.x - seen / 2) * perPicture, (at.y - seen / 2) * perPicture, seen * perPicture, seen * perPicture, 0, 0, side, side);
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
    <div className={at.x > widthPx / 2 ? styles['left'] : styles['right']}>
      <canvas ref={canvas} aria-hidden="true" />
      <p>{name}</p>
    </div>
  );
}
