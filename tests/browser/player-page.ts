import { createPlayhead } from '../../src/state/playhead.ts';
import { connectPlayer } from '../../src/views/result/connect-player.ts';

/** One shown frame: the time that the playhead tells, and the mean grey of the quarter that carries the frame's number. */
export interface ShownFrame {
  readonly t: number;
  readonly grey: number;
}

declare global {
  interface Window {
    lungelinePlayer?: {
      /** Seeks to each time in turn and reads what is on screen. */
      seek(times: readonly number[], frameTimes: readonly number[]): Promise<readonly ShownFrame[]>;
      /** Plays the clip at a speed and reads every frame that is shown. */
      play(rate: number, frameTimes: readonly number[]): Promise<readonly ShownFrame[]>;
    };
  }
}

async function open(frameTimes: readonly number[]) {
  const file = document.querySelector<HTMLInputElement>('#clips')?.files?.[0];
  if (file === undefined) throw new TypeError('choose a clip first');
  const video = document.createElement('video');
  video.muted = true;
  video.preload = 'auto';
  video.width = 160;
  document.body.append(video);
  const playhead = createPlayhead();
  const times = Float64Array.from(frameTimes);
  const disconnect = connectPlayer(video, playhead, () => times);
  const shown = (act: () => void) =>
    new Promise<void>((resolve) => {
      const stop = playhead.subscribe(() => {
        stop();
        resolve();
      });
      act();
    });
  const canvas = document.createElement('canvas');
  canvas.width = 160;
  canvas.height = 96;
  const ctx = canvas.getContext('2d', { willReadFrequently: true });
  if (ctx === null) throw new TypeError('no canvas');
  const read = (): ShownFrame => {
    ctx.drawImage(video, 0, 0, 160, 96);
    const { data } = ctx.getImageData(20, 12, 40, 24);
    let sum = 0;
    for (let at = 0; at < data.length; at += 4) sum += data[at] ?? 0;
    return { t: playhead.now().t, grey: sum / (data.length / 4) };
  };
  const url = URL.createObjectURL(file);
  video.src = url;
  await new Promise((resolve) => { video.addEventListener('loadeddata', resolve, { once: true }); });
  const close = () => {
    disconnect();
    video.remove();
    URL.revokeObjectURL(url);
  };
  return { video, playhead, shown, read, close };
}

window.lungelinePlayer = {
  async seek(times, frameTimes) {
    const { video, playhead, shown, read, close } = await open(frameTimes);
    const frames: ShownFrame[] = [];
    for (const t of times) {
      await shown(() => { playhead.seek(t); });
      if (video.seeking) await new Promise((resolve) => { video.addEventListener('seeked', resolve, { once: true }); });
      frames.push(read());
    }
    close();
    return frames;
  },
  async play(rate, frameTimes) {
    const { video, playhead, read, close } = await open(frameTimes);
    const frames: ShownFrame[] = [];
    playhead.subscribe(() => {
      if (playhead.now().isPlaying) frames.push(read());
    });
    playhead.setRate(rate);
    playhead.toggle();
    await new Promise((resolve) => { video.addEventListener('ended', resolve, { once: true }); });
    close();
    return frames;
  },
};
