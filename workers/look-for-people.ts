import { transfer } from 'comlink';
import { clipInWork } from './clip-in-work.ts';
import type { Glimpse, Looked, LookTask } from './contract.ts';
import { decodeFrames, decodeKeyFrames, type DecodeReport } from './decode-frames.ts';
import { glimpseOfBox, glimpseOfReading } from './glimpse.ts';
import type { Probe } from './link-people.ts';
import { keyFramesOf, type OpenClip } from './open-clip.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import type { FoundPerson } from './people-finder.ts';
import type { LandmarkModel } from './pose/landmark-model.ts';
import type { Picture } from './pose/picture.ts';
import { prepareFinder, prepareModels } from './prepare-models.ts';
import { readFromBox, type Beginning } from './track-athlete.ts';
import { success, type Outcome } from '../src/units/outcome.ts';

/** What was read of each clip's first person shown. */
const beginnings = new WeakMap<OpenClip, Beginning>();

/** The reading of the first person who was shown of a clip, null before. A run that begins there need not make it again. */
export function beginningOf(clip: OpenClip): Beginning | null {
  return beginnings.get(clip) ?? null;
}

/** Looks for people in some frames of a clip. See contract.ts. */
export async function lookForPeople(clipId: number, file: File, { model, backend, frames, isShown }: LookTask, onLook: (glimpse: Glimpse | null) => void): Promise<Outcome<Looked>> {
  const opened = await clipInWork(clipId, file);
  if (!opened.ok) return opened;
  const clip = opened.value;
  const [first, last] = [frames[0], frames.at(-1)];
  if (first === undefined || last === undefined) return success({ probes: [], failedAtS: null });
  const prepared = await prepareModels(model, backend);
  if (!prepared.ok) return prepared;
  const finder = await prepareFinder();
  const reader = new PictureReader(clip.info);
  const report: DecodeReport = { failedAtS: null, waitMs: 0 };
  const wanted = new Set(frames);
  const keys = new Set(keyFramesOf(clip));
  const decoded = frames.every((index) => keys.has(index)) ? decodeKeyFrames(clip, frames, report) : decodeFrames(clip, first, last + 1, report);
  const probes: Probe[] = [];
  let isDue = isShown;
  for await (const { index, t, frame } of decoded) {
    if (!wanted.has(index)) {
      frame.close();
      continue;
    }
    const picture = await readAndClose(reader, frame);
    const people = await finder.find(picture);
    probes.push({ t, people });
    // Who stands nearest to the camera is most likely the one who is filmed.
    const [person] = people.toSorted((a, b) => b.box.height - a.box.height);
    const glimpse: Glimpse | null = !isDue || person === undefined ? null : await glimpseOf(prepared.value.model, clip, picture, t, person);
    isDue &&= glimpse === null;
    onLook(glimpse && transfer(glimpse, [glimpse.rgba.buffer]));
  }
  return success({ probes, failedAtS: report.failedAtS });
}

/** The person with the joints that are read there, a moment after the first look; without them where they cannot be read. */
async function glimpseOf(model: LandmarkModel, clip: OpenClip, picture: Picture, t: number, { box }: FoundPerson): Promise<Glimpse | null> {
  const reading = await readFromBox(model, picture, box);
  if (reading === null) return glimpseOfBox(picture, t, box);
  beginnings.set(clip, { t, box, modelId: model.id, reading });
  return glimpseOfReading(picture, t, reading);
}
