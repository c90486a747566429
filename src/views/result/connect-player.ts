import type { Playhead } from '../../state/playhead.ts';
import { nearestFrame } from '../../state/step-frame.ts';

/** Longest wait for the first shown frame before the element's own zero is taken as origin, milliseconds. */
const ORIGIN_WAIT_MS = 1500;

/** Longest wait for the browser to say which frame a finished seek has shown, milliseconds; chosen: ten frames at 60 a second. */
const SEEK_WAIT_MS = 170;

/**
 * Connects a video element to the playhead, and returns the call that disconnects it. The playhead says which frame the browser
 * has shown, in clip seconds from the first shown frame; a seek lands on the frame of the track that is meant.
 * https://wicg.github.io/video-rvfc/
 */
export function connectPlayer(element: HTMLVideoElement, playhead: Playhead, frameTimes: () => Float64Array): () => void {
  /** Media seconds of the first shown frame; null until it has been shown. */
  let origin: number | null = null;
  let waiting: number | null = null;
  let handle = 0;
  let silence: ReturnType<typeof setTimeout> | undefined;
  const isFrameExact = typeof element.requestVideoFrameCallback === 'function';

  const seekNow = (t: number) => {
    const times = frameTimes();
    const frame = nearestFrame(times, t);
    const from = times[frame] ?? t;
    const before = times[frame - 1];
    // Half-way into the frame, so that rounding in the browser cannot land on its neighbour.
    const to = times[frame + 1] ?? from + (before === undefined ? 1 / 60 : from - before);
    const isInTrack = Math.abs(from - t) <= to - from;
    element.currentTime = (origin ?? 0) + (isInTrack ? (from + to) / 2 : t);
  };
  const setOrigin = (mediaTime: number) => {
    origin = mediaTime;
    if (waiting !== null) seekNow(waiting);
    else playhead.shown(0);
    waiting = null;
  };
  const onShown = (_now: number, frame: VideoFrameCallbackMetadata) => {
    if (origin === null) setOrigin(frame.mediaTime);
    else playhead.shown(frame.mediaTime - origin);
    clearTimeout(silence);
    handle = element.requestVideoFrameCallback(onShown);
  };
  const onRough = () => {
    if (origin === null) setOrigin(0);
    else playhead.shown(element.currentTime - origin);
  };
  /** A browser may leave a paused seek untold. The seek went to the middle of a frame, so that frame is what it shows. */
  const onSeeked = () => {
    clearTimeout(silence);
    silence = setTimeout(() => {
      if (origin === null || element.seeking || !element.paused) return;
      const t = element.currentTime - origin;
      const times = frameTimes();
      const at = times.findLastIndex((from) => from <= t);
      playhead.shown(times[at] ?? t);
    }, SEEK_WAIT_MS);
  };
  if (isFrameExact) {
    handle = element.requestVideoFrameCallback(onShown);
    element.addEventListener('seeked', onSeeked);
  } else {
    element.addEventListener('seeked', onRough);
    element.addEventListener('timeupdate', onRough);
    element.addEventListener('loadeddata', onRough);
  }
  // A phone may show no frame before it is touched; seeking makes it show one.
  const giveUp = setTimeout(() => {
    if (origin === null) setOrigin(0);
  }, ORIGIN_WAIT_MS);

  const onPlay = () => { playhead.playing(true); };
  const onPause = () => { playhead.playing(false); };
  element.addEventListener('play', onPlay);
  element.addEventListener('pause', onPause);
  element.addEventListener('ended', onPause);
  const detach = playhead.attach({
    seek(t) {
      element.pause();
      if (origin === null) waiting = t;
      else seekNow(t);
    },
    play() {
      const times = frameTimes();
      const last = times.at(-1) ?? Infinity;
      const shown = element.currentTime - (origin ?? 0);
      if (shown >= last || element.ended) element.currentTime = (origin ?? 0) + (times[0] ?? 0);
      element.play().catch((refused: unknown) => {
        // A pause right after is told by its own event.
        if (!(refused instanceof DOMException)) throw refused;
      });
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
    clearTimeout(silence);
    element.removeEventListener('seeked', onSeeked);
    if (isFrameExact) element.cancelVideoFrameCallback(handle);
    element.removeEventListener('seeked', onRough);
    element.removeEventListener('timeupdate', onRough);
    element.removeEventListener('loadeddata', onRough);
    element.removeEventListener('play', onPlay);
    element.removeEventListener('pause', onPause);
    element.removeEventListener('ended', onPause);
  };
}
