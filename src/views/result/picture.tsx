import { useEffect, useRef, useState } from 'react';
import styles from './picture.module.css';
import { drawScene } from '../../overlay/draw-scene.ts';
import { buildScene } from '../../overlay/scene.ts';
import { MOMENT_IDS } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import type { Clip, OverlayMode } from '../../state/session.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import { usePlayhead, useSession, useSessionState } from '../session-context.ts';

/** Longest wait for the first shown frame before the clip's own zero is taken as origin, milliseconds. */
const ORIGIN_WAIT_MS = 1500;

/**
 * The clip with the drawing on it. The drawing follows the frame that the browser says it has shown, never the time that was
 * asked for; clip time counts from the first shown frame.
 * https://wicg.github.io/video-rvfc/
 */
export function Picture({ clip, reading, isProjected = false }: { readonly clip: Clip; readonly reading: Reading; readonly isProjected?: boolean }) {
  const textPx = isProjected ? 30 : 17;
  const { playhead } = useSession();
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
    if (element === null) return;
    /** Media seconds of the first shown frame; null until it has been shown. */
    let origin: number | null = null;
    let waiting: number | null = null;
    let handle = 0;
    const isFrameExact = typeof element.requestVideoFrameCallback === 'function';

    const seekNow = (t: number) => {
      const frames = times.current;
      const frame = nearestFrame(frames, t);
      const from = frames[frame] ?? t;
      // Half-way into the frame, so that rounding in the browser cannot land on its neighbour.
      const to = frames[frame + 1] ?? from + 1 / 60;
      const isInTrack = Math.abs(from - t) <= (to - from);
      element.currentTime = (origin ?? 0) + (isInTrack ? (from + to) / 2 : t);
    };
    const setOrigin = (mediaTime: number) => {
      origin = mediaTime;
      if (waiting !== null) seekNow(waiting);
      waiting = null;
    };
    const onShown = (_now: number, frame: VideoFrameCallbackMetadata) => {
      if (origin === null) setOrigin(frame.mediaTime);
      else playhead.shown(frame.mediaTime - origin);
      handle = element.requestVideoFrameCallback(onShown);
    };
    const onRough = () => {
      if (origin === null) setOrigin(0);
      else playhead.shown(element.currentTime - origin);
    };
    if (isFrameExact) handle = element.requestVideoFrameCallback(onShown);
    else {
      element.addEventListener('seeked', onRough);
      element.addEventListener('timeupdate', onRough);
      element.addEventListener('loadeddata', onRough);
    }
    const giveUp = setTimeout(() => {
      if (origin === null) setOrigin(0);
    }, ORIGIN_WAIT_MS);

    const onPlay = () => { playhead.playing(true); };
    const onPause = () => { playhead.playing(false); };
    const onError = () => { setCannotPlay(true); };
    element.addEventListener('play', onPlay);
    element.addEventListener('pause', onPause);
    element.addEventListener('ended', onPause);
    element.addEventListener('error', onError);
    const detach = playhead.attach({
      seek(t) {
        element.pause();
        if (origin === null) waiting = t;
        else seekNow(t);
      },
      play() {
        const last = times.current.at(-1) ?? element.duration;
        if (origin !== null && element.currentTime - origin >= Math.min(last, element.duration - origin) - 0.05) {
          element.currentTime = origin + (times.current[0] ?? 0);
        }
        // Rejected when a pause follows at once; the pause event tells the rest.
        element.play().catch(() => undefined);
      },
      pause() {
        element.pause();
      },
      setRate(rate) {
        element.playbackRate = rate;
      },
    });
    return () => {
      detach();
      clearTimeout(giveUp);
      if (isFrameExact) element.cancelVideoFrameCallback(handle);
      element.removeEventListener('seeked', onRough);
      element.removeEventListener('timeupdate', onRough);
      element.removeEventListener('loadeddata', onRough);
      element.removeEventListener('play', onPlay);
      element.removeEventListener('pause', onPause);
      element.removeEventListener('ended', onPause);
      element.removeEventListener('error', onError);
    };
  }, [playhead, clip.url]);

  useEffect(() => {
    const surface = canvas.current;
    const ctx = surface?.getContext('2d');
    if (surface == null || ctx == null) return;
    const draw = () => {
      const density = Math.min(window.devicePixelRatio || 1, 3);
      const width = Math.round(surface.clientWidth * density);
      const height = Math.round(surface.clientHeight * density);
      if (surface.width !== width || surface.height !== height) {
        surface.width = width;
        surface.height = height;
      }
      ctx.clearRect(0, 0, width, height);
      if (overlay === 'off' || width === 0) return;
      const scale = width / reading.track.widthPx;
      const { t } = playhead.now();
      const place = { scale, density, measure, textPx };
      if (overlay === 'trace') {
        for (const id of MOMENT_IDS) {
          const one = reading.moments[id];
          const scene = one.found ? buildScene(reading, one.t, null) : null;
          if (scene !== null) drawScene(ctx, scene, { ...place, bodyAlpha: 0.75, withNumbers: false });
        }
      }
      const scene = buildScene(reading, t, overlay === 'moment' ? moment : null);
      if (scene !== null) drawScene(ctx, scene, { ...place, bodyAlpha: overlay === 'moment' ? 0.7 : 1, withNumbers: true });
      surface.dataset['frameS'] = t.toFixed(4);
    };
    draw();
    const unsubscribe = playhead.subscribe(draw);
    const observer = new ResizeObserver(draw);
    observer.observe(surface);
    return () => {
      unsubscribe();
      observer.disconnect();
    };
  }, [playhead, reading, overlay, moment, measure, textPx]);

  return (
    <div className={isProjected ? `${styles['picture'] ?? ''} ${styles['projected'] ?? ''}` : styles['picture']}>
      <video
        ref={video}
        className={styles['video']}
        src={clip.url}
        muted
        playsInline
        preload="auto"
        aria-label={clip.title}
        onClick={() => { playhead.toggle(); }}
      />
      <canvas ref={canvas} className={styles['drawing']} aria-hidden="true" />
      {!isProjected && <TimeReadout reading={reading} />}
      {!isProjected && <DrawingChoice />}
      {clip.isDemo && <p className={styles['invented']}>Invented athlete, drawn by computer</p>}
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
function DrawingChoice() {
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
    </fieldset>
  );
}
