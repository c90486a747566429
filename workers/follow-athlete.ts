import { transfer } from 'comlink';
import { clipInWork } from './clip-in-work.ts';
import type { Followed, FollowTask, Glimpse } from './contract.ts';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { glimpseOfReading } from './glimpse.ts';
import { QualityMeter } from './measure-quality.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import { giveUpGraphics, prepareModels } from './prepare-models.ts';
import { AthleteTracker, TrackBuilder } from './track-athlete.ts';
import { HandsWatch } from './watch-hands.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Shortest time between two reports, milliseconds. */
const REPORT_EVERY_MS = 80;
/** Shortest time between two glimpses, milliseconds; chosen: the athlete is seen moving, for some hundredths of the work. */
const GLIMPSE_EVERY_MS = 300;

/** Set from outside while a run waits for its next frame. */
const wish = { isStopped: false };

/** Ends the run that is under way after its current frame. */
export function stopFollowing(): void {
  wish.isStopped = true;
}

function isStoppedNow(): boolean {
  return wish.isStopped;
}

/** Follows the athlete through a run of frames. See contract.ts. */
export async function followAthlete(
  clipId: number,
  file: File,
  task: FollowTask,
  onFrames: (done: number, glimpse: Glimpse | null) => void,
): Promise<Outcome<Followed>> {
  wish.isStopped = false;
  const opened = await clipInWork(clipId, file);
  if (!opened.ok) return opened;
  const prepared = await prepareModels(task.model, task.backend);
  if (!prepared.ok) return prepared;
  const clip = opened.value;
  const { model } = prepared.value;
  const reader = new PictureReader(clip.info);
  const tracker = new AthleteTracker(model, task.athlete, task.start);
  const builder = new TrackBuilder();
  const quality = new QualityMeter();
  const hands = new HandsWatch();
  const report: DecodeReport = { failedAtS: null, waitMs: 0 };
  const spent = { copyMs: 0, inferMs: 0, qualityMs: 0 };
  const [first, last] = [task.frames[0], task.frames.at(-1)];
  if (first === undefined || last === undefined) throw new RangeError('no frame to measure');
  const wanted = new Set(task.frames);
  let done = 0;
  let reportedAt = performance.now();
  let seenAt = -Infinity;
  try {
    for await (const { index, t, frame } of decodeFrames(clip, first, last + 1, report)) {
      if (!wanted.has(index)) {
        frame.close();
        continue;
      }
      if (isStoppedNow() || (task.endAfterHands && hands.isOver(t))) {
        frame.close();
        break;
      }
      const t0 = performance.now();
      const picture = await readAndClose(reader, frame);
      const t1 = performance.now();
      const reading = await tracker.read(picture, t);
      const t2 = performance.now();
      builder.add(t, reading);
      if (done >= task.settleFrames) hands.add(t, reading === null ? null : reading.xy);
      quality.add(picture, reading);
      const t3 = performance.now();
      spent.copyMs += t1 - t0;
      spent.inferMs += t2 - t1;
      spent.qualityMs += t3 - t2;
      done += 1;
      if (reading !== null && t3 - seenAt >= GLIMPSE_EVERY_MS) {
        seenAt = t3;
        reportedAt = t3;
        const glimpse = glimpseOfReading(picture, t, reading);
        onFrames(done, transfer(glimpse, [glimpse.rgba.buffer]));
      } else if (t3 - reportedAt >= REPORT_EVERY_MS) {
        reportedAt = t3;
        onFrames(done, null);
      }
    }
  } catch (error) {
    // A graphics card can be lost in the middle; whoever asked measures the clip again without it, whole.
    const lost = giveUpGraphics();
    if (lost !== null) return failure({ kind: 'backend-unavailable', tried: [lost] });
    throw error;
  }
  onFrames(done, null);
  const followed: Followed = {
    ...builder.arrays(),
    ...quality.arrays(),
    modelId: model.id,
    failedAtS: report.failedAtS,
    decodeMs: report.waitMs,
    ...spent,
  };
  return transfer(success(followed), [
    followed.times, followed.xy, followed.score, followed.sd, followed.regions, followed.heightPx, followed.brightness, followed.sharpness, followed.stepXPx, followed.stepYPx,
  ].map((array) => array.buffer as ArrayBuffer));
}
