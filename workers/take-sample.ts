import { transfer } from 'comlink';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { QualityMeter } from './measure-quality.ts';
import { openClip } from './open-clip.ts';
import type { FoundPerson, PeopleFinder } from './people-finder.ts';
import { PictureReader, readAndClose } from './picture-from-frame.ts';
import type { LandmarkModel } from './pose/landmark-model.ts';
import type { Picture } from './pose/picture.ts';
import { prepareFinder, prepareModels, type PreparedModels } from './prepare-models.ts';
import { isPhoto, readPhoto } from './read-photo.ts';
import type { Sample } from './sample.ts';
import { upright } from './take-stills.ts';
import { AthleteTracker, TrackBuilder } from './track-athlete.ts';
import { backgroundMotion } from '../src/clip/background-motion.ts';
import { lensFromEquivalent } from '../src/camera/lens.ts';
import { medianOf } from '../src/signal/spread.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** How much of a clip is looked at, seconds, and in how many pictures at most. */
const SAMPLE_S = 1;
const MOST_FRAMES = 24;
/** Widest picture that is handed over to be shown, pixels. */
const SHOWN_WIDTH_PX = 1280;

/** Looks at a photo or at the first second of a clip. See sample.ts. */
export async function takeSample(file: File, onAlive: () => void): Promise<Outcome<Sample>> {
  const outcome = await (isPhoto(file) ? lookAtPhoto(file, onAlive) : lookAtClip(file, onAlive));
  return outcome.ok ? transfer(outcome, [outcome.value.picture]) : outcome;
}

async function lookAtPhoto(file: File, onAlive: () => void): Promise<Outcome<Sample>> {
  const photo = await readPhoto(file);
  if (!photo.ok) return photo;
  onAlive();
  const prepared = await prepareModels('full', null);
  if (!prepared.ok) return prepared;
  onAlive();
  const { picture, canvas, focalPx } = photo.value;
  const eye = new Eye(prepared.value, await prepareFinder());
  await eye.look(picture, 0);
  return success({ ...eye.seen(picture), isStill: true, background: null, fps: null, focalPx, picture: canvas.transferToImageBitmap() });
}

async function lookAtClip(file: File, onAlive: () => void): Promise<Outcome<Sample>> {
  const opened = await openClip(file);
  if (!opened.ok) return opened;
  const clip = opened.value;
  try {
    const prepared = await prepareModels('full', null);
    if (!prepared.ok) return prepared;
    onAlive();
    const eye = new Eye(prepared.value, await prepareFinder());
    const reader = new PictureReader(clip.info);
    const count = Math.max(1, clip.frames.filter(({ t }) => t <= SAMPLE_S).length);
    const stride = Math.ceil(count / MOST_FRAMES);
    const report: DecodeReport = { failedAtS: null, waitMs: 0 };
    let last: Picture | null = null;
    for await (const { index, t, frame } of decodeFrames(clip, 0, count, report)) {
      if (index % stride !== 0) {
        frame.close();
        continue;
      }
      last = await readAndClose(reader, frame);
      await eye.look(last, t);
      onAlive();
    }
    if (last === null) return failure({ kind: 'decoder-failed', fileName: file.name, atS: report.failedAtS ?? 0 });
    const { widthPx, heightPx, equivalentFocalMm } = clip.info;
    return success({
      ...eye.seen({ widthPx, heightPx }),
      isStill: false,
      background: eye.background(last),
      fps: clip.info.fps.median,
      focalPx: typeof equivalentFocalMm === 'number' ? lensFromEquivalent(equivalentFocalMm, widthPx, heightPx).focalPx : null,
      picture: await upright(last, SHOWN_WIDTH_PX),
    });
  } finally {
    clip.input.dispose();
  }
}

/** Follows the biggest person through a few pictures. */
class Eye {
  readonly #model: LandmarkModel;
  readonly #backend: string;
  readonly #finder: PeopleFinder;
  readonly #builder = new TrackBuilder();
  readonly #quality = new QualityMeter();
  #tracker: AthleteTracker | null = null;
  #others = 0;

  constructor({ model, backend }: PreparedModels, finder: PeopleFinder) {
    this.#model = model;
    this.#backend = backend;
    this.#finder = finder;
  }

  async look(picture: Picture, t: number): Promise<void> {
    this.#tracker ??= await this.#find(picture, t);
    const reading = this.#tracker === null ? null : await this.#tracker.read(picture, t);
    this.#builder.add(t, reading);
    this.#quality.add(t, picture, reading);
  }

  async #find(picture: Picture, t: number): Promise<AthleteTracker | null> {
    const people = await this.#finder.find(picture);
    const tall = (person: FoundPerson): number => person.box.height;
    const biggest = people.toSorted((a, b) => tall(b) - tall(a))[0];
    if (biggest === undefined) return null;
    // Somebody far behind is no bystander: only who is at least half as tall counts.
    this.#others = people.filter((person) => person !== biggest && tall(person) >= tall(biggest) / 2).length;
    return new AthleteTracker(this.#model, { sightings: [{ t, box: biggest.box, score: biggest.score }] });
  }

  seen({ widthPx, heightPx }: { readonly widthPx: number; readonly heightPx: number }): Pick<Sample, 'track' | 'brightness' | 'sharpness' | 'sharpnessByFrame' | 'others'> {
    const { times, xy, score, sd } = this.#builder.arrays();
    const { brightness, sharpness } = this.#quality.arrays();
    const middle = (values: Float32Array): number | null => {
      const median = medianOf(values);
      return Number.isFinite(median) ? median : null;
    };
    return {
      track: { times, xy, score, sd, widthPx, heightPx, model: this.#model.id, backend: this.#backend },
      brightness: middle(brightness), sharpness: middle(sharpness), sharpnessByFrame: sharpness, others: this.#others,
    };
  }

  /** How the background moved; null where it could not be told for long enough. */
  background(picture: { readonly widthPx: number; readonly heightPx: number }): Sample['background'] {
    return backgroundMotion(this.#quality.arrays().backgroundSteps, this.#builder.arrays().times, picture);
  }
}
