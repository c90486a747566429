import type { Playhead } from '../../state/playhead.ts';
import { nearestFrame } from '../../state/step-frame.ts';

/**
 * Connects the frames of a stored track to the playhead where there is no clip to play, and returns the call that
 * disconnects them. Playing shows each frame at its time.
 */
export function connectTrack(playhead: Playhead, frameTimes: () => Float64Array): () => void {
  let rate = 1;
  let handle = 0;
  const show = (t: number) => {
    const times = frameTimes();
    playhead.shown(times[nearestFrame(times, t)] ?? t);
  };
  const pause = () => {
    cancelAnimationFrame(handle);
    playhead.playing(false);
  };
  const detach = playhead.attach({
    seek(t) {
      pause();
      show(t);
    },
    play() {
      const times = frameTimes();
      const end = times.at(-1) ?? 0;
      const shown = playhead.now().t;
      const from = shown >= end ? (times[0] ?? 0) : shown;
      let started: number | null = null;
      const step = (now: number) => {
        started ??= now;
        const t = from + ((now - started) / 1000) * rate;
        show(Math.min(t, end));
        if (t < end) handle = requestAnimationFrame(step);
        else pause();
      };
      playhead.playing(true);
      handle = requestAnimationFrame(step);
    },
    pause,
    setRate: (next) => { rate = next; },
  });
  return () => {
    cancelAnimationFrame(handle);
    detach();
  };
}
