import { transfer } from 'comlink';
import type { Still } from './contract.ts';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { openClip, type FrameEntry } from './open-clip.ts';
import { paintUpright } from './paint-upright.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import type { Picture } from './pose/picture.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/**
 * The decoded frames nearest to the given clip seconds, upright, at most `maxWidthPx` wide, in the order asked.
 * Times outside the clip give its first or last frame.
 */
export async function takeStills(file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>> {
  const opened = await openClip(file);
  if (!opened.ok) return opened;
  const clip = opened.value;
  try {
    const indices = times.map((t) => nearestFrame(clip.frames, t));
    const bitmaps = new Map<number, Still>();
    const report: DecodeReport = { failedAtS: null, waitMs: 0 };
    const reader = new PictureReader(clip.info);
    const wanted = new Set(indices);
    const ordered = [...wanted].sort((a, b) => a - b);
    for (const run of runs(ordered)) {
      for await (const { index, t, frame } of decodeFrames(clip, run.from, run.to, report)) {
        if (wanted.has(index)) bitmaps.set(index, { t, bitmap: await upright(await readAndClose(reader, frame), maxWidthPx) });
        else frame.close();
      }
      if (report.failedAtS !== null) {
        return failure({ kind: 'decoder-failed', fileName: clip.info.fileName, atS: report.failedAtS });
      }
    }
    const used = new Set<ImageBitmap>();
    const stills: Still[] = [];
    for (const index of indices) {
      const still = bitmaps.get(index);
      if (still === undefined) throw new RangeError(`frame ${String(index)} was not decoded`);
      // A bitmap can be handed over once; the same frame asked twice is copied.
      const bitmap = used.has(still.bitmap) ? await createImageBitmap(still.bitmap) : still.bitmap;
      used.add(bitmap);
      stills.push({ t: still.t, bitmap });
    }
    return transfer(success(stills), stills.map((still) => still.bitmap));
  } finally {
    clip.input.dispose();
  }
}

/** Frames that lie close together are decoded in one run; a gap of more than this many starts at a later key frame. */
const RUN_GAP_FRAMES = 90;

function runs(ordered: readonly number[]): readonly { readonly from: number; readonly to: number }[] {
  const list: { from: number; to: number }[] = [];
  for (const index of ordered) {
    const last = list.at(-1);
    if (last !== undefined && index - last.to <= RUN_GAP_FRAMES) last.to = index + 1;
    else list.push({ from: index, to: index + 1 });
  }
  return list;
}

/** Index of the frame whose time is nearest; 0 for an empty list. */
export function nearestFrame(frames: readonly FrameEntry[], t: number): number {
  let best = 0;
  frames.forEach((frame, index) => {
    if (Math.abs(frame.t - t) < Math.abs((frames[best]?.t ?? 0) - t)) best = index;
  });
  return best;
}

/** A picture as it is shown, at most `maxWidthPx` wide; whoever receives it closes it. */
export function upright(picture: Picture, maxWidthPx: number): Promise<ImageBitmap> {
  const { rgba, widthPx, heightPx } = paintUpright(picture, maxWidthPx);
  return createImageBitmap(new ImageData(rgba, widthPx, heightPx));
}
