import { transfer } from 'comlink';
import { clipInWork } from './clip-in-work.ts';
import type { Glimpse, Looked } from './contract.ts';
import { decodeFrames, decodeKeyFrames, type DecodeReport } from './decode-frames.ts';
import { glimpseOfBox } from './glimpse.ts';
import type { Probe } from './link-people.ts';
import { keyFramesOf } from './open-clip.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import { prepareFinder } from './prepare-models.ts';
import { success, type Outcome } from '../src/units/outcome.ts';

/** Looks for people in some frames of a clip. See contract.ts. */
export async function lookForPeople(clipId: number, file: File, frames: readonly number[], onLook: (glimpse: Glimpse | null) => void): Promise<Outcome<Looked>> {
  const opened = await clipInWork(clipId, file);
  if (!opened.ok) return opened;
  const clip = opened.value;
  const [first, last] = [frames[0], frames.at(-1)];
  if (first === undefined || last === undefined) return success({ probes: [], failedAtS: null });
  const finder = await prepareFinder();
  const reader = new PictureReader(clip.info);
  const report: DecodeReport = { failedAtS: null, waitMs: 0 };
  const wanted = new Set(frames);
  const keys = new Set(keyFramesOf(clip));
  const decoded = frames.every((index) => keys.has(index)) ? decodeKeyFrames(clip, frames, report) : decodeFrames(clip, first, last + 1, report);
  const probes: Probe[] = [];
  let isSeen = false;
  for await (const { index, t, frame } of decoded) {
    if (!wanted.has(index)) {
      frame.close();
      continue;
    }
    const picture = await readAndClose(reader, frame);
    const people = await finder.find(picture);
    probes.push({ t, people });
    const [person] = people.toSorted((a, b) => b.score - a.score);
    const glimpse: Glimpse | null = isSeen || person === undefined ? null : glimpseOfBox(picture, t, person.box);
    isSeen ||= glimpse !== null;
    onLook(glimpse && transfer(glimpse, [glimpse.rgba.buffer]));
  }
  return success({ probes, failedAtS: report.failedAtS });
}
