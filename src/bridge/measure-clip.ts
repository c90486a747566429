import { proxy, type Remote } from 'comlink';
import type { AnalysisRequest, AnalysisWorker, Backend, Followed, FollowEvents, FollowTask, Glimpse, Looked, Progress } from '../../workers/contract.ts';
import { ENGINE_VERSION } from '../../workers/engine-version.ts';
import { ProgressMeter } from '../../workers/progress-meter.ts';
import type { Analysis } from '../reading/reading.ts';
import { success, type Outcome } from '../units/outcome.ts';
import { findAthlete } from './find-athlete.ts';
import { workersFor } from './pool-size.ts';
import { divideFrames, isComplete, joinAnew, joinRun, mergeFollowed, OVERLAP_FRAMES, stateAtEnd, type Division, type Found, type Joined, type Run } from './merge-followed.ts';

/** How many rounds of looks a search takes is not known ahead: each is taken for this share of what is left of it (chosen). */
const LOOK_SHARE = 0.6;

/** The workers that may share one clip. */
export interface Team {
  /** At least 1. */
  readonly size: number;
  /** Worker `index`, started when first asked for. */
  worker(index: number): Remote<AnalysisWorker>;
  /** How many workers, from the first on, have loaded the models for this request on this backend; never waits. */
  readyFor(model: AnalysisRequest['model'], backend: Backend): number;
}

/** One clip in the hands of a team. */
interface Job {
  readonly team: Team;
  readonly clipId: number;
  readonly file: File;
  readonly request: AnalysisRequest;
  readonly meter: ProgressMeter;
}

/** Measures a clip: opens it, finds the athlete, follows the athlete through every frame of the part, over all workers. */
export async function measureClip(team: Team, clipId: number, file: File, request: AnalysisRequest, tell: (progress: Progress) => void): Promise<Outcome<Analysis>> {
  const meter = new ProgressMeter(tell);
  const job: Job = { team, clipId, file, request, meter };
  const started = performance.now();
  meter.enter('reading');
  const opened = await team.worker(0).open(clipId, file);
  if (!opened.ok) return opened;
  const openedAt = performance.now();

  meter.enter('preparing');
  const prepared = await team.worker(0).prepare(request.model, request.backend);
  if (!prepared.ok) return prepared;
  const backend = prepared.value;
  const workers = workersFor(backend, team.size);
  const ready = Math.min(workers, team.readyFor(request.model, backend));
  const preparedAt = performance.now();

  meter.enter('finding');
  let isShown = false;
  let share = 0;
  const found = await findAthlete(opened.value, request, async (frames) => {
    const before = share;
    const answer = await look(job, backend, ready, frames, !isShown, (part, glimpse) => {
      isShown ||= glimpse !== null;
      share = before + (1 - before) * LOOK_SHARE * part;
      meter.at(share, glimpse);
    });
    share = before + (1 - before) * LOOK_SHARE;
    return answer;
  });
  if (!found.ok) return found;
  const foundAt = performance.now();

  return follow(job, workers, {
    ...found.value,
    clip: opened.value.clip,
    backend,
    engineVersion: ENGINE_VERSION,
    openMs: openedAt - started,
    prepareMs: preparedAt - openedAt,
    findMs: foundAt - preparedAt,
  }, started);
}

/** Looks for people in some frames, each worker in a stretch of them; where it is to be shown, the first shows whom it finds. */
async function look(
  { team, clipId, file, request }: Job, backend: Backend, workers: number, frames: readonly number[], isShown: boolean,
  tell: (part: number, glimpse: Glimpse | null) => void,
): Promise<Outcome<Looked>> {
  const count = Math.min(workers, frames.length);
  let done = 0;
  const onLook = proxy((glimpse: Glimpse | null) => {
    done += 1;
    tell(done / frames.length, glimpse);
  });
  const shares = await Promise.all(Array.from({ length: count }, (_, i) => {
    // The first, which may have somebody to show, gets the smaller share where they are uneven.
    const share = frames.slice(Math.floor((i * frames.length) / count), Math.floor(((i + 1) * frames.length) / count));
    return team.worker(i).look(clipId, file, { model: request.model, backend, frames: share, isShown: isShown && i === 0 }, onLook);
  }));
  const failed = shares.find((share) => !share.ok);
  if (failed?.ok === false) return failed;
  const looked = shares.flatMap((share) => (share.ok ? [share.value] : []));
  return success({
    probes: looked.flatMap(({ probes }) => probes),
    failedAtS: looked.find(({ failedAtS }) => failedAtS !== null)?.failedAtS ?? null,
  });
}

/** Follows the athlete through the frames found, the runs at once, and joins them. */
async function follow(job: Job, workers: number, found: Found, started: number): Promise<Outcome<Analysis>> {
  const { team, meter } = job;
  const division = divideFrames(found.frames.length, workers, found.likelyNeeded);
  const { runs, anewAt } = division;
  meter.enter('measuring');
  const done = runs.map(() => 0);
  const followed: (Outcome<Followed> | undefined)[] = runs.map(() => undefined);
  await Promise.all(
    // The first run alone is shown: two at once would jump to and fro.
    runs.map(async (run, i) => {
      const mustSettle = i > 0 && run.from !== anewAt;
      followed[i] = await followRun(job, found, division, run, i, { start: null, settleFrames: mustSettle ? OVERLAP_FRAMES : 0, isShown: i === 0 }, {
        onFrames(count, glimpse) {
          done[i] = count;
          meter.at(done.reduce((sum, one) => sum + one, 0) / found.frames.length, glimpse);
        },
        onSettled(start) {
          if (mustSettle) void team.worker(i - 1).stopWhereAgreeing(start);
        },
      });
      // The frames after the hands are not needed: whoever still follows them may stop.
      if (isComplete(joinAll(division, followed).joined, found.part.proposed)) {
        runs.forEach((_, late) => {
          if (followed[late] === undefined) void team.worker(late).stopFollowing();
        });
      }
    }),
  );
  const failed = followed.find((outcome) => outcome?.ok === false);
  if (failed?.ok === false) return failed;
  let { joined, next } = joinAll(division, followed);
  while (next < runs.length && !isComplete(joined, found.part.proposed)) {
    // This run began on a region that does not agree with what came before, or on somebody else: it is followed again from there.
    const run = runs[next];
    if (run === undefined) break;
    const again = await followRun(job, found, division, { from: joined.end, to: run.to }, 0, { start: stateAtEnd(joined), settleFrames: 0, isShown: false }, {
      onFrames: () => { meter.at(0.99); },
      onSettled: () => undefined,
    });
    if (!again.ok) return again;
    joined = { runs: [...joined.runs, again.value], end: joined.end + again.value.times.length };
    ({ joined, next } = joinAll(division, followed, joined, next + 1));
  }
  return mergeFollowed(found, joined.runs, performance.now() - started, runs.length);
}

function followRun(
  { team, clipId, file, request }: Job,
  found: Found,
  { anewAt }: Division,
  run: Run,
  worker: number,
  how: Pick<FollowTask, 'start' | 'settleFrames' | 'isShown'>,
  events: FollowEvents,
): Promise<Outcome<Followed>> {
  return team.worker(worker).follow(clipId, file, {
    athlete: found.athlete,
    model: request.model,
    backend: found.backend,
    frames: found.frames.slice(run.from, run.to),
    // The run that ends there only shows whom it was following.
    anewAt: anewAt === null || anewAt <= run.from || anewAt + 1 >= run.to ? null : (found.frames[anewAt] ?? null),
    endAfterHands: found.part.proposed,
    ...how,
  }, proxy(events));
}

/** Joins runs in order as far as they are there and agree; `next` is the first that is not joined. */
function joinAll(
  { runs, anewAt }: Division,
  followed: readonly (Outcome<Followed> | undefined)[],
  soFar: Joined = { runs: [], end: 0 },
  first = 0,
): { readonly joined: Joined; readonly next: number } {
  let joined = soFar;
  for (let i = first; i < runs.length; i += 1) {
    const outcome = followed[i];
    const run = runs[i];
    if (outcome?.ok !== true || run === undefined) return { joined, next: i };
    const longer = i > 0 && run.from === anewAt ? joinAnew(joined, outcome.value, run.from) : joinRun(joined, outcome.value, run.from);
    if (longer === null) return { joined, next: i };
    joined = longer;
  }
  return { joined, next: runs.length };
}
