import { transfer } from 'comlink';
import { clipInWork } from './clip-in-work.ts';
import type { Followed, FollowEvents, FollowTask, PersonPath, RunStart, TrackerState } from './contract.ts';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { glimpseOfReading } from './glimpse.ts';
import { isSureAt, withSighting } from './link-people.ts';
import { beginningOf } from './look-for-people.ts';
import { QualityMeter } from './measure-quality.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import type { Picture } from './pose/picture.ts';
import { giveUpGraphics, prepareFinder, prepareModels } from './prepare-models.ts';
import { AgreementWatch, isSamePerson } from './same-region.ts';
import { AthleteTracker, TrackBuilder } from './track-athlete.ts';
import { HandsWatch } from './watch-hands.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Shortest time between two reports, milliseconds. */
const REPORT_EVERY_MS = 80;
/** Shortest time between two glimpses, milliseconds; chosen: the athlete is seen moving, for some hundredths of the work. */
const GLIMPSE_EVERY_MS = 300;

/** Set from outside while a run waits for its next frame. */
const wish: { isStopped: boolean; next: RunStart | null } = { isStopped: false, next: null };

/** Ends the run that is under way after its current frame. */
export function stopFollowing(): void {
  wish.isStopped = true;
}

/** Ends the run that is under way where it agrees with the one that began in its last frames. */
export function stopWhereAgreeing(next: RunStart): void {
  wish.next = next;
}

/** Follows the athlete through a run of frames. See contract.ts. */
export async function followAthlete(
  clipId: number,
  file: File,
  task: FollowTask,
  events: FollowEvents,
): Promise<Outcome<Followed>> {
  Object.assign(wish, { isStopped: false, next: null });
  const opened = await clipInWork(clipId, file);
  if (!opened.ok) return opened;
  const prepared = await prepareModels(task.model, task.backend);
  if (!prepared.ok) return prepared;
  const clip = opened.value;
  const { model } = prepared.value;
  const reader = new PictureReader(clip.info);
  let tracker: AthleteTracker | null = null;
  const builder = new TrackBuilder();
  const quality = new QualityMeter();
  const hands = new HandsWatch();
  const agreement = new AgreementWatch();
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
      if (wish.isStopped || (task.endAfterHands && hands.isOver(t))) {
        frame.close();
        break;
      }
      const t0 = performance.now();
      const picture = await readAndClose(reader, frame);
      const t1 = performance.now();
      let reading = tracker === null ? null : await tracker.read(picture, t);
      if (tracker === null || index === task.anewAt) {
        const start: TrackerState | null = tracker === null ? task.start : null;
        const path: PersonPath = start === null ? await surePath(task.athlete, picture, t) : task.athlete;
        const anew: AthleteTracker = new AthleteTracker(model, path, start, beginningOf(clip));
        const begun = await anew.read(picture, t);
        if (isSamePerson(reading?.nextCrop ?? null, begun?.nextCrop ?? null)) {
          tracker = anew;
          reading = begun;
        }
      }
      const t2 = performance.now();
      builder.add(t, reading);
      if (done >= task.settleFrames) hands.add(t, reading === null ? null : reading.xy);
      quality.add(t, picture, reading, index === last);
      const t3 = performance.now();
      spent.copyMs += t1 - t0;
      spent.inferMs += t2 - t1;
      spent.qualityMs += t3 - t2;
      done += 1;
      if (done === task.settleFrames) events.onSettled({ frames: task.frames.slice(0, done), regions: builder.arrays().regions });
      if (agreement.isReached(wish.next, index, reading?.nextCrop ?? null)) break;
      if (task.isShown && reading !== null && t3 - seenAt >= GLIMPSE_EVERY_MS) {
        seenAt = t3;
        reportedAt = t3;
        const glimpse = await glimpseOfReading(picture, t, reading);
        events.onFrames(done, transfer(glimpse, [glimpse.rgba.buffer]));
      } else if (t3 - reportedAt >= REPORT_EVERY_MS) {
        reportedAt = t3;
        events.onFrames(done, null);
      }
    }
  } catch (error) {
    // A graphics card can be lost in the middle; whoever asked measures the clip again without it, whole.
    const lost = giveUpGraphics();
    if (lost !== null) return failure({ kind: 'backend-unavailable', tried: [lost] });
    throw error;
  }
  events.onFrames(done, null);
  const followed: Followed = {
    ...builder.arrays(),
    ...quality.arrays(),
    modelId: model.id,
    failedAtS: report.failedAtS,
    decodeMs: report.waitMs,
    ...spent,
  };
  return transfer(success(followed), [
    followed.times, followed.xy, followed.score, followed.sd, followed.regions, followed.heightPx, followed.brightness, followed.sharpness, followed.backgroundSteps,
  ].map((array) => array.buffer as ArrayBuffer));
}

/** The athlete's path; with a look at this picture where whoever begins here would have to guess. */
async function surePath(athlete: PersonPath, picture: Picture, t: number): Promise<PersonPath> {
  if (isSureAt(athlete, t)) return athlete;
  const finder = await prepareFinder();
  return withSighting(athlete, { t, people: await finder.find(picture) });
}
