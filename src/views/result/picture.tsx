import { fitCanvas } from '../parts/fit-canvas.ts';
import { useEffect, useRef, useState } from 'react';
import styles from './picture.module.css';
import { drawScene } from '../../overlay/draw-scene.ts';
import { buildScene, onlyMeasure } from '../../overlay/scene.ts';
import { MOMENT_IDS } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import type { Clip, OverlayMode } from '../../state/session.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import type { FloorDraft } from './floor-draft.ts';
import { FloorTaps } from './floor-taps.tsx';
import { JointHandles } from './joint-handles.tsx';
import { connectPlayer } from './connect-player.ts';
import { connectTrack } from './connect-track.ts';
import { usePlayhead, useSession, useSessionState } from '../session-context.ts';

/** What a projected picture leaves out: every mark but those of one measure. */
export interface Projected {
  readonly only: MeasureId | null;
}

/** The clip with the drawing on it. The drawing follows the frame that the browser says it has shown, never the time that was asked for. */
export function Picture({ clip, reading, projected, floorDraft = null, onFloorDraft, isCorrecting = false, onCorrecting }: {
  readonly clip: Clip;
  readonly reading: Reading;
  readonly projected?: Projected;
  /** Taps on the floor that are being made on this picture. */
  readonly floorDraft?: FloorDraft | null;
  readonly onFloorDraft?: (draft: FloorDraft) => void;
  /** Whether joints can be dragged. */
  readonly isCorrecting?: boolean;
  readonly onCorrecting?: (isCorrecting: boolean) => void;
}) {
  const isProjected = projected !== undefined;
  const only = projected?.only ?? null;
  const { playhead, drawTimes } = useSession();
  const overlay = useSessionState((state) => state.overlay);
  const moment = useSessionState((state) => state.moment);
  const measure = useSessionState((state) => state.measure);
  const video = useRef<HTMLVideoElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const times = useRef(reading.track.times);
  const [cannotPlay, setCannotPlay] = useState(false);
  useEffect(() => {
    times.current = reading.track.times;
  }, [reading]);

  useEffect(() => {
    const element = video.current;
    if (element === null) return connectTrack(playhead, () => times.current);
    return connectPlayer(element, playhead, () => times.current);
  }, [playhead, clip.url]);

  useEffect(() => {
    const surface = canvas.current;
    if (surface === null) return;
    const ctx = surface.getContext('2d');
    if (ctx === null) return;
    const draw = () => {
      const started = performance.now();
      const { density, width } = fitCanvas(surface, ctx);
      if (overlay === 'off' || width === 0) return;
      const scale = width / reading.track.widthPx;
      // Numbers grow with the picture: readable on a phone in the hand and on a wall.
      const textPx = Math.max(16, Math.min(surface.clientWidth, surface.clientHeight * 1.8) * (isProjected ? 0.028 : 0.021));
      const { t } = playhead.now();
      const place = { scale, density, measure: only ?? measure, textPx };
      if (overlay === 'trace') {
        for (const id of MOMENT_IDS) {
          const one = reading.moments[id];
          const scene = one.found ? buildScene(reading, one.t, null) : null;
          if (scene !== null) drawScene(ctx, scene, { ...place, bodyAlpha: 0.75, withNumbers: false });
        }
      }
      const scene = buildScene(reading, t, overlay === 'moment' ? moment : null);
      if (scene !== null) drawScene(ctx, only !== null ? onlyMeasure(scene, only) : scene, { ...place, bodyAlpha: overlay === 'moment' ? 0.7 : 1, withNumbers: true });
      surface.dataset['frameS'] = t.toFixed(4);
      drawTimes.add(performance.now() - started);
    };
    draw();
    const unsubscribe = playhead.subscribe(draw);
    const observer = new ResizeObserver(draw);
    observer.observe(surface);
    return () => {
      unsubscribe();
      observer.disconnect();
    };
  }, [playhead, drawTimes, reading, overlay, moment, measure, isProjected, only]);

  return (
    <div className={isProjected ? `${styles['picture'] ?? ''} ${styles['projected'] ?? ''}` : styles['picture']}>
      {clip.url === null ? (
        <div className={styles['plain']} role="img" aria-label={`${clip.title}, body lines without the clip`} onClick={() => { playhead.toggle(); }}>
          <div className={styles['plainFloor']} style={{ insetBlockStart: `${(100 * reading.floorYPx) / reading.track.heightPx}%` }} />
        </div>
      ) : (
        <video
          ref={video}
          className={styles['video']}
          src={clip.url}
          muted
          playsInline
          preload="auto"
          aria-label={clip.title}
          onClick={() => { playhead.toggle(); }}
          onError={() => { setCannotPlay(true); }}
        />
      )}
      <canvas ref={canvas} className={styles['drawing']} aria-hidden="true" />
      {floorDraft !== null && onFloorDraft !== undefined && <FloorTaps draft={floorDraft} size={reading.track} video={video} onChange={onFloorDraft} />}
      {!isProjected && isCorrecting && floorDraft === null && <JointHandles clip={clip} reading={reading} video={video} />}
      {!isProjected && (
        <DrawingChoice
          isCorrecting={isCorrecting}
          onCorrect={() => {
            playhead.pause();
            onCorrecting?.(!isCorrecting);
          }}
        />
      )}
      <div className={styles['labels']}>
        {!isProjected && <TimeReadout reading={reading} />}
        {clip.isDemo && <p className={styles['invented']}>Invented athlete, drawn by computer</p>}
      </div>
      {cannotPlay && <p className={styles['cannot']}>This browser can measure this clip but cannot play it. The stills below come from the decoder.</p>}
    </div>
  );
}

/** The time and the number of the frame on screen. */
function TimeReadout({ reading }: { readonly reading: Reading }) {
  const t = usePlayhead((state) => state.t);
  const { times } = reading.track;
  return (
    <p className={styles['time']}>
      {t.toFixed(3)} s, frame {nearestFrame(times, t) + 1} of {times.length}
    </p>
  );
}

const OVERLAYS: readonly { readonly mode: OverlayMode; readonly word: string }[] = [
  { mode: 'moment', word: 'Shape' },
  { mode: 'trace', word: 'Trace' },
  { mode: 'off', word: 'Off' },
];

/** What is drawn on the picture: the shape of the moment, the body lines of all moments, or nothing. */
function DrawingChoice({ isCorrecting, onCorrect }: { readonly isCorrecting: boolean; readonly onCorrect: () => void }) {
  const session = useSession();
  const overlay = useSessionState((state) => state.overlay);
  return (
    <fieldset className={styles['choice']}>
      <legend className="visually-hidden">Drawing on the picture</legend>
      {OVERLAYS.map(({ mode, word }) => (
        <button key={mode} type="button" aria-pressed={overlay === mode} onClick={() => { session.setOverlay(mode); }}>
          {word}
        </button>
      ))}
      <button type="button" aria-pressed={isCorrecting} onClick={onCorrect}>
        Correct
      </button>
    </fieldset>
  );
}
