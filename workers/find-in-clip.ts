import { clipInWork } from './clip-in-work.ts';
import type { AnalysisRequest, Found, PersonPath, Progress } from './contract.ts';
import { decodeFrames, decodeKeyFrames, type DecodedFrame, type DecodeReport } from './decode-frames.ts';
import { ENGINE_VERSION } from './engine-version.ts';
import { findPart, findStretch } from './find-part.ts';
import { chooseAthlete, linkPeople, type Probe } from './link-people.ts';
import { MAX_PART_S, type OpenClip } from './open-clip.ts';
import type { PeopleFinder } from './people-finder.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import { prepareFinder, prepareModels } from './prepare-models.ts';
import { ProgressMeter } from './progress-meter.ts';
import type { PersonSighting } from '../src/reading/reading.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Probes a second in the search for people. */
const PROBES_PER_S = 3;
/** Longer than this a clip is first looked over at its key frames, seconds. */
const LOOK_OVER_FROM_S = 9;
/** Key frames farther apart than this on average are too few to look over by, seconds. */
const MAX_KEY_SPACING_S = 2.2;
/** Fewest seconds between two looks at key frames. */
const LOOK_EVERY_S = 1.4;

/** Opens the clip, loads the models and looks for the athlete. See contract.ts. */
export async function findInClip(
  clipId: number,
  file: File,
  request: AnalysisRequest,
  onProgress: (progress: Progress) => void,
  onReady: (backend: 'webgl' | 'wasm') => void,
): Promise<Outcome<Found>> {
  const started = performance.now();
  const progress = new ProgressMeter(onProgress);
  progress.enter('reading');
  const opened = await clipInWork(clipId, file);
  if (!opened.ok) return opened;
  const clip = opened.value;
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
  onReady(prepared.value.backend);
  const finder = await prepareFinder();
  const prepareMs = performance.now() - prepareStarted;

  progress.enter('finding');
  const findStarted = performance.now();
  const report: DecodeReport = { failedAtS: null, waitMs: 0 };
  const { probes, paths, athlete, stretch } = await findPeople(clip, asked, request, finder, new PictureReader(clip.info), report, progress);
  if (athlete === null) {
    if (probes.length === 0 && report.failedAtS !== null) {
      return failure({ kind: 'decoder-failed', fileName: clip.info.fileName, atS: report.failedAtS });
    }
    return failure({ kind: 'nobody-found' });
  }
  const proposed = findPart(athlete, durationS);
  const part = request.trim ?? { fromS: Math.max(proposed.fromS, stretch.fromS), toS: Math.min(proposed.toS, stretch.toS) };
  return success({
    clip: clip.info,
    people: sightings(paths, athlete),
    athlete,
    part: { fromS: part.fromS, toS: part.toS, proposed: request.trim === null },
    frames: frameRange(clip, part),
    backend: prepared.value.backend,
    engineVersion: ENGINE_VERSION,
    openMs,
    prepareMs,
    findMs: performance.now() - findStarted,
  });
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
    const picture = await readAndClose(reader, frame);
    probes.push({ t, people: await finder.find(picture) });
    onFrame(index);
  }
  return probes;
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
