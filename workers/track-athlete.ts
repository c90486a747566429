import { LANDMARK_COUNT } from '../src/pose/landmarks.ts';
import type { PersonPath, TrackerState } from './contract.ts';
import { boxAt } from './link-people.ts';
import { cropFromBox, type Crop, type PictureBox } from './pose/crop.ts';
import type { LandmarkModel, LandmarkReading } from './pose/landmark-model.ts';
import type { Picture } from './pose/picture.ts';
import { regionNumbers } from './same-region.ts';

/** Below this the model saw no person in its region (the threshold of the model's own pipeline). */
const MIN_POSE_SCORE = 0.5;
/** Times the region is read again on the first picture until it settles. */
const SETTLE_ROUNDS = 3;
/** Share of the last motion by which the region runs ahead (chosen: full prediction overshoots at the turns of a jump). */
const PREDICTION = 0.7;
/** Sightings up to this far away in time say where the athlete must be, seconds: the time between two rough looks. */
const NEAR_S = 0.6;
/** After this long without the athlete the last region is forgotten, seconds. */
const FORGET_S = 0.25;

/** A reading made from a box alone, with which whoever begins in the same picture with the same box may go on. */
export interface Beginning {
  /** Clip seconds. */
  readonly t: number;
  readonly box: PictureBox;
  readonly modelId: string;
  readonly reading: LandmarkReading;
}

/** Reads a person of whom only a box is known: the region is read again until it has settled. Null where nobody is in it. */
export async function readFromBox(model: LandmarkModel, picture: Picture, box: PictureBox): Promise<LandmarkReading | null> {
  let crop = cropFromBox(widened(box));
  let reading: LandmarkReading | null = null;
  for (let round = 0; round < SETTLE_ROUNDS && crop !== null; round += 1) {
    reading = await model.run(picture, crop);
    if (reading.poseScore < MIN_POSE_SCORE / 2) return null;
    crop = reading.nextCrop;
  }
  return reading !== null && reading.poseScore >= MIN_POSE_SCORE ? reading : null;
}

/** Follows one athlete from frame to frame. Frames must come in order of time. */
export class AthleteTracker {
  readonly #model: LandmarkModel;
  readonly #path: PersonPath;
  readonly #beginning: Beginning | null;
  #last: { readonly t: number; readonly crop: Crop } | null;
  #before: { readonly t: number; readonly crop: Crop } | null;

  /** The path from the sparse search gives the first region and every new start, unless a state to go on from is given. */
  constructor(model: LandmarkModel, path: PersonPath, state: TrackerState | null = null, beginning: Beginning | null = null) {
    this.#model = model;
    this.#path = path;
    this.#beginning = beginning;
    this.#last = state?.last ?? null;
    this.#before = state?.before ?? null;
  }

  /** The athlete in one picture, null when not found: a gap. */
  async read(picture: Picture, t: number): Promise<LandmarkReading | null> {
    const predicted = this.#predict(t);
    if (predicted !== null) {
      const reading = await this.#model.run(picture, predicted);
      if (this.#isAthlete(reading, t)) return this.#keep(reading, t);
    }
    const box = boxAt(this.#path, t);
    const fresh = box === null ? null : (this.#begun(t, box) ?? await readFromBox(this.#model, picture, box));
    if (fresh === null) return null;
    this.#before = null;
    this.#last = null;
    return this.#keep(fresh, t);
  }

  #begun(t: number, box: PictureBox): LandmarkReading | null {
    const begun = this.#beginning;
    const isSame = begun !== null && begun.modelId === this.#model.id && begun.t === t
      && begun.box.x === box.x && begun.box.y === box.y && begun.box.width === box.width && begun.box.height === box.height;
    return isSame ? begun.reading : null;
  }

  #predict(t: number): Crop | null {
    if (this.#last === null || t - this.#last.t > FORGET_S) return null;
    const { crop } = this.#last;
    if (this.#before === null) return crop;
    const ahead = ((t - this.#last.t) / (this.#last.t - this.#before.t)) * PREDICTION;
    return {
      ...crop,
      centreX: crop.centreX + (crop.centreX - this.#before.crop.centreX) * ahead,
      centreY: crop.centreY + (crop.centreY - this.#before.crop.centreY) * ahead,
    };
  }

  /** A person is there, and not far from where the sparse search saw the athlete around that time. */
  #isAthlete(reading: LandmarkReading, t: number): boolean {
    if (reading.poseScore < MIN_POSE_SCORE || reading.nextCrop === null) return false;
    const near = this.#path.sightings.filter((sighting) => Math.abs(sighting.t - t) <= NEAR_S);
    if (near.length < 2) return true;
    const box = boxAt(this.#path, t);
    if (box === null) return true;
    const away = Math.hypot(
      reading.hipCentre.x - (box.x + box.width / 2),
      reading.hipCentre.y - (box.y + box.height / 2),
    );
    return away <= 1.5 * Math.max(box.width, box.height);
  }

  #keep(reading: LandmarkReading, t: number): LandmarkReading {
    if (reading.nextCrop === null) return reading;
    const crop = onGrid(reading.nextCrop);
    this.#before = this.#last;
    this.#last = { t, crop };
    return { ...reading, nextCrop: crop };
  }
}

/** Steps of the grid on which regions lie: 2 % in size, 1 % of the side in place, 2° in turn (docs/performance.md, "Two runs of one clip"). */
const GRID_SIZE = Math.log(1.02);
const GRID_PLACE = 0.01;
const GRID_TURN = Math.PI / 90;

/**
 * The region moved onto a coarse grid, by less than the model notices. Two runs that come to the same place then hold
 * exactly the same numbers, so that a run begun in the middle of a clip can be joined to the one before without a seam.
 */
export function onGrid(crop: Crop): Crop {
  const sidePx = Math.exp(Math.round(Math.log(crop.sidePx) / GRID_SIZE) * GRID_SIZE);
  const step = sidePx * GRID_PLACE;
  return {
    centreX: Math.round(crop.centreX / step) * step,
    centreY: Math.round(crop.centreY / step) * step,
    sidePx,
    rotationRad: Math.round(crop.rotationRad / GRID_TURN) * GRID_TURN,
  };
}

/** The search box grown to hold head, hands and feet, which its points leave out. */
function widened(box: PictureBox): PictureBox {
  const grow = 0.1 * Math.max(box.width, box.height);
  return { x: box.x - grow, y: box.y - grow, width: box.width + 2 * grow, height: box.height + 2 * grow };
}

/** Collects readings into the arrays of a track. */
export class TrackBuilder {
  readonly #times: number[] = [];
  readonly #readings: (LandmarkReading | null)[] = [];

  /** Adds one frame; null is a gap. */
  add(t: number, reading: LandmarkReading | null): void {
    this.#times.push(t);
    this.#readings.push(reading);
  }

  /** The arrays of a PoseTrack, NaN positions and score 0 in a gap, and the region that each frame gives the next. */
  arrays(): { readonly times: Float64Array; readonly xy: Float32Array; readonly score: Float32Array; readonly sd: Float32Array; readonly regions: Float64Array } {
    const frames = this.#times.length;
    const xy = new Float32Array(frames * LANDMARK_COUNT * 2).fill(Number.NaN);
    const score = new Float32Array(frames * LANDMARK_COUNT);
    const sd = new Float32Array(frames * LANDMARK_COUNT).fill(Number.NaN);
    const regions = new Float64Array(frames * 4).fill(Number.NaN);
    this.#readings.forEach((reading, frame) => {
      if (reading === null) return;
      const { nextCrop } = reading;
      if (nextCrop !== null) regions.set(regionNumbers(nextCrop), frame * 4);
      xy.set(reading.xy, frame * LANDMARK_COUNT * 2);
      score.set(reading.score, frame * LANDMARK_COUNT);
      sd.set(reading.sd, frame * LANDMARK_COUNT);
    });
    return { times: Float64Array.from(this.#times), xy, score, sd, regions };
  }
}
