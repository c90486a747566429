import type { AnalysisRequest, Progress } from './contract.ts';
import { decodeFrames, decodeKeyFrames, type DecodedFrame, type DecodeReport } from './decode-frames.ts';
import { findPart, findStretch } from './find-part.ts';
import { chooseAthlete, linkPeople, type PersonPath, type Probe } from './link-people.ts';
import { QualityMeter } from './measure-quality.ts';
import { MAX_PART_S, openClip, type OpenClip } from './open-clip.ts';
import type { PeopleFinder } from './people-finder.ts';
import { PictureReader } from './picture-from-frame.ts';
import { giveUpWebgl, prepareModels } from './prepare-models.ts';
import { ProgressMeter } from './progress-meter.ts';
import { AthleteTracker, TrackBuilder } from './track-athlete.ts';
import { HandsWatch } from './watch-hands.ts';
import { transfer } from 'comlink';
import type { Analysis, PersonSighting } from '../src/reading/reading.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Version of the engine, part of every result: raise it when a change can change a track. */
export const ENGINE_VERSION = '0.1.0';

/** Probes a second in the search for people. */
const PROBES_PER_S = 3;
/** Longer than this a clip is first looked over at its key frames, seconds. */
const LOOK_OVER_FROM_S = 9;
/** Key frames farther apart than this on average are too few to look over by, seconds. */
const MAX_KEY_SPACING_S = 2.2;
/** Fewest seconds between two looks at key frames. */
const LOOK_EVERY_S = 1.4;

/** Finds and follows the athlete in a clip: file → raw track. See contract.ts. */
export async function analyseClip(
  file: File,
  request: AnalysisRequest,
  onProgress: (progress: Progress) => void,
): Promise<Outcome<Analysis>> {
  const started = performance.now();
  const progress = new ProgressMeter(onProgress);
  progress.enter('reading');
  const opened = await openClip(file);
  if (!opened.ok) return opened;
  const clip = opened.value;
  try {
    return await analyseOpened(clip, request, progress, started);
  } catch (error) {
    // A graphics card can be lost in the middle; the same clip is measured again, whole, without it.
    if (request.backend !== null || !giveUpWebgl()) throw error;
    return await analyseOpened(clip, request, progress, started);
  } finally {
    clip.input.dispose();
  }
}

async function analyseOpened(
  clip: OpenClip,
  request: AnalysisRequest,
  progress: ProgressMeter,
  started: number,
): Promise<Outcome<Analysis>> {
  const { durationS } = clip.info;
  const asked = request.trim ?? { fromS: 0, toS: durationS };
  if (asked.toS - asked.fromS > MAX_PART_S) {
    return failure({ kind: 'clip-too-long', durationS: asked.toS - asked.fromS, limitS: MAX_PART_S });
  }
  const openMs = performance.now() - started;

  progress.enter('preparing');
  const prepareStarted = performance.now();
  const prepared = await prepareModels(request.model, request.backend);
  if (!prepared.ok) return prepared;
  const { finder, model, backend } = prepared.value;
  const prepareMs = performance.now() - prepareStarted;

  progress.enter('finding');
  const findStarted = performance.now();
  const reader = new PictureReader(clip.info);
  const report: DecodeReport = { failedAtS: null, waitMs: 0 };
  const search = await findPeople(clip, asked, request, finder, reader, report, progress);
  const { probes, paths, athlete } = search;
  const findMs = performance.now() - findStarted;
  if (athlete === null) {
    const first = frameRange(clip, asked).from;
    if (probes.length === 0 && report.failedAtS !== null) {
      return failure({ kind: 'decoder-failed', fileName: clip.info.fileName, atS: clip.frames[first]?.t ?? 0 });
    }
    return failure({ kind: 'nobody-found' });
  }

  progress.enter('measuring');
  const proposed = findPart(athlete, durationS);
  const part = request.trim ?? { fromS: Math.max(proposed.fromS, search.stretch.fromS), toS: Math.min(proposed.toS, search.stretch.toS) };
  const range = frameRange(clip, part);
  const tracker = new AthleteTracker(model, athlete);
  const builder = new TrackBuilder();
  const quality = new QualityMeter();
  const dense: DecodeReport = { failedAtS: null, waitMs: 0 };
  const spent = { copyMs: 0, inferMs: 0, qualityMs: 0 };
  const hands = new HandsWatch();
  let frames = 0;
  let lastS = part.toS;
  for await (const { t, frame } of decodeFrames(clip, range.from, range.to, dense)) {
    if (request.trim === null && hands.isOver(t)) {
      frame.close();
      lastS = t;
      break;
    }
    const t0 = performance.now();
    const picture = await closing(frame, () => reader.read(frame));
    const t1 = performance.now();
    const reading = await tracker.read(picture, t);
    const t2 = performance.now();
    builder.add(t, reading);
    hands.add(t, reading === null ? null : reading.xy);
    if (reading !== null) quality.add(picture, reading);
    const t3 = performance.now();
    spent.copyMs += t1 - t0;
    spent.inferMs += t2 - t1;
    spent.qualityMs += t3 - t2;
    frames += 1;
    progress.at(frames / (range.to - range.from));
  }
  if (frames === 0) {
    return failure({ kind: 'decoder-failed', fileName: clip.info.fileName, atS: dense.failedAtS ?? part.fromS });
  }
  if (builder.found === 0) return failure({ kind: 'nobody-found' });

  const arrays = builder.arrays();
  const analysis: Analysis = {
    clip: clip.info,
    track: { ...arrays, widthPx: clip.info.widthPx, heightPx: clip.info.heightPx, model: model.id, backend },
    people: sightings(paths, athlete),
    part: { fromS: part.fromS, toS: lastS, proposed: request.trim === null },
    stoppedAtS: dense.failedAtS,
    quality: quality.result(),
    profile: {
      openMs,
      prepareMs,
      findMs,
      decodeMs: dense.waitMs,
      ...spent,
      totalMs: performance.now() - started,
      frames,
    },
    engineVersion: ENGINE_VERSION,
  };
  return transfer(success(analysis), [arrays.times.buffer, arrays.xy.buffer, arrays.score.buffer, arrays.sd.buffer] as Transferable[]);
}

/** People over time, the athlete among them, and the stretch of the clip that was searched closely. */
interface Search {
  readonly probes: readonly Probe[];
  readonly paths: readonly PersonPath[];
  readonly athlete: PersonPath | null;
  readonly stretch: { readonly fromS: number; readonly toS: number };
}

/** Searches the part asked for; a long clip is first looked over at its key frames, then closely where somebody travels. */
async function findPeople(
  clip: OpenClip,
  asked: { readonly fromS: number; readonly toS: number },
  request: AnalysisRequest,
  finder: PeopleFinder,
  reader: PictureReader,
  report: DecodeReport,
  progress: ProgressMeter,
): Promise<Search> {
  let stretch = asked;
  const looks = request.trim === null && asked.toS - asked.fromS > LOOK_OVER_FROM_S ? keyFrameLooks(clip) : [];
  if (looks.length > 0) {
    const probes = await probe(decodeKeyFrames(clip, looks, report), 0, finder, reader, (index) => {
      progress.at((0.6 * index) / clip.frames.length);
    });
    const athlete = chooseAthlete(linkPeople(probes), request.athleteAt);
    const stepS = clip.info.durationS / looks.length;
    if (athlete !== null) stretch = findStretch(athlete, clip.info.durationS, stepS);
  }
  const range = frameRange(clip, stretch);
  const already = looks.length > 0 ? 0.6 : 0;
  const probes = await probe(decodeFrames(clip, range.from, range.to, report), 0.9 / PROBES_PER_S, finder, reader, (index) => {
    progress.at(already + ((1 - already) * (index - range.from)) / (range.to - range.from));
  });
  const paths = linkPeople(probes);
  return { probes, paths, athlete: chooseAthlete(paths, request.athleteAt), stretch };
}

/** Key frames at least 1.4 s apart; none where the clip has too few to look it over. */
function keyFrameLooks(clip: OpenClip): readonly number[] {
  const keys = new Set(clip.keyDecodeIndices);
  if (clip.info.durationS / keys.size > MAX_KEY_SPACING_S) return [];
  const looks: number[] = [];
  let nextS = -Infinity;
  clip.frames.forEach((frame, index) => {
    if (!keys.has(frame.decodeIndex) || frame.t < nextS) return;
    looks.push(index);
    nextS = frame.t + LOOK_EVERY_S;
  });
  return looks;
}

/** People in frames at least `everyS` apart. Closes every frame. */
async function probe(
  frames: AsyncGenerator<DecodedFrame, void, undefined>,
  everyS: number,
  finder: PeopleFinder,
  reader: PictureReader,
  onFrame: (index: number) => void,
): Promise<readonly Probe[]> {
  const probes: Probe[] = [];
  let nextS = -Infinity;
  for await (const { index, t, frame } of frames) {
    if (t < nextS) {
      frame.close();
      continue;
    }
    nextS = t + everyS;
    const picture = await closing(frame, () => reader.read(frame));
    probes.push({ t, people: await finder.find(picture) });
    onFrame(index);
  }
  return probes;
}

async function closing<T>(frame: VideoFrame, use: () => Promise<T>): Promise<T> {
  try {
    return await use();
  } finally {
    frame.close();
  }
}

/** Shown frames of a part, `from` inclusive to `to` exclusive, at least one frame. */
function frameRange(clip: OpenClip, part: { readonly fromS: number; readonly toS: number }): { readonly from: number; readonly to: number } {
  const last = clip.frames.length - 1;
  let from = clip.frames.findIndex((frame) => frame.t >= part.fromS - 1e-6);
  if (from === -1) from = last;
  let to = clip.frames.length;
  while (to > from + 1 && (clip.frames[to - 1]?.t ?? 0) > part.toS + 1e-6) to -= 1;
  return { from, to };
}

function sightings(paths: readonly PersonPath[], athlete: PersonPath): readonly PersonSighting[] {
  return paths
    .flatMap((path) => path.sightings.map(({ t, box }) => ({ t, box, isAthlete: path === athlete })))
    .sort((a, b) => a.t - b.t);
}
