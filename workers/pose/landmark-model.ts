import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';
import type { LandmarkName } from '../../src/pose/landmarks.ts';
import { CROP_PX, cropFromAlignment, cropToPicture } from './crop.ts';
import type { Crop, PicturePoint } from './crop.ts';
import { headShare } from './head-share.ts';
import { loadJointHead } from './joint-head.ts';
import type { JointHead } from './joint-head.ts';
import { cropSampler } from './kernel-sampler.ts';
import type { KernelBuild } from './network/load-kernels.ts';
import { loadPoseNetwork } from './network/load-pose-network.ts';
import type { Means, PoseMaps } from './network/pose-network.ts';
import { storedModel, type ModelSource } from './network/stored-model.ts';
import type { Affine, Picture } from './picture.ts';
import { readJoints } from './read-joints.ts';
import type { JointReading } from './read-joints.ts';
import { refineLandmarks } from './refine-landmarks.ts';

/** Sizes of the landmark model: lite is the fastest, heavy the most accurate. */
export type LandmarkModelSize = 'lite' | 'full' | 'heavy';

/** What the model saw in one region of one picture. Positions are display pixels. */
export interface LandmarkReading {
  /** 0 to 1: how likely a person is in the region. Below about 0.5 the landmarks mean nothing. */
  readonly poseScore: number;
  /** 33 × 2, x then y: joint centres from the joint head where there is one, else the stock landmarks. */
  readonly xy: Float32Array;
  /** 33 × 1, 0 to 1: in the picture and visible. */
  readonly score: Float32Array;
  /** 33 × 1, one standard deviation of x and of y in pixels; NaN where the estimator does not state one. */
  readonly sd: Float32Array;
  /** The stock model's own 33 × 2 landmarks, the same array as `xy` where nothing refined them. */
  readonly stockXy: Float32Array;
  readonly hipCentre: PicturePoint;
  /** The alignment point that gives the body's size and direction. */
  readonly scalePoint: PicturePoint;
  /** The region for the next picture of the same person; null when this reading gives none. */
  readonly nextCrop: Crop | null;
}

/** How to run the model on one picture. */
export interface LandmarkRunOptions {
  /** Also reads the mirrored region and averages: about twice the time, a little less noise. Default false. */
  readonly flip?: boolean;
}

/** The landmark model, loaded. */
export interface LandmarkModel {
  readonly size: LandmarkModelSize;
  /** Id for tracks, e.g. "blazepose-full" or "blazepose-full+joint-head-1". */
  readonly id: string;
  /** By what it runs. */
  readonly means: Means;
  /** Multiply–adds of one run on one region. */
  readonly multiplyAdds: number;
  /** Reads the person in one region of one picture. */
  run(picture: Picture, crop: Crop, options?: LandmarkRunOptions): Promise<LandmarkReading>;
  /** Reads several regions of one picture at once. */
  runAll(picture: Picture, crops: readonly Crop[], options?: LandmarkRunOptions): Promise<readonly LandmarkReading[]>;
  /** Frees the weights. */
  dispose(): void;
}

const MODEL_LANDMARKS = 39;
const VALUES_EACH = 5;
const HEAT_KERNEL = 7;
const HEAT_MINIMUM = 0.5;

/** Index of the mirrored counterpart of each of the model's 39 landmarks. */
const MIRRORED_INDEX: readonly number[] = [
  0, 4, 5, 6, 1, 2, 3, 8, 7, 10, 9, 12, 11, 14, 13, 16, 15, 18, 17, 20, 19, 22, 21,
  24, 23, 26, 25, 28, 27, 30, 29, 32, 31, 33, 34, 36, 35, 38, 37,
];

/** What belongs to a landmark model beside its own files. */
export interface LandmarkModelExtras {
  /** The joint head, for the full model only. */
  readonly jointHead?: ModelSource | null;
  /** Our own kernels, which cut out the athlete and run the model. */
  readonly kernels?: KernelBuild | null;
  /** The model runs by the tensor library even where there are kernels; they only cut out. Default false. */
  readonly onTensors?: boolean;
}

/**
 * Loads a landmark model (BlazePose, Bazarevsky et al. 2020, arXiv 2006.10204) for our own kernels or for the backend that
 * is set. Rejects when a file cannot be read.
 */
export async function loadLandmarkModel(size: LandmarkModelSize, source: ModelSource, extras: LandmarkModelExtras = {}): Promise<LandmarkModel> {
  const headSource = extras.jointHead ?? null;
  if (headSource !== null && size !== 'full') throw new RangeError(`the joint head belongs to the full model, not ${size}`);
  const [stored, head] = await Promise.all([storedModel(source), headSource === null ? null : loadJointHead(headSource)]);
  const kernels = extras.kernels ?? null;
  const network = await loadPoseNetwork(stored, head, extras.onTensors === true ? null : kernels);
  const sample = cropSampler(kernels);

  async function read(picture: Picture, crop: Crop, mirrored: boolean): Promise<CropReading> {
    return decode(await network.run(sample(picture, crop, mirrored)), head);
  }
  async function readings(picture: Picture, crops: readonly Crop[], options: LandmarkRunOptions): Promise<LandmarkReading[]> {
    const found: LandmarkReading[] = [];
    for (const crop of crops) {
      const plain = await read(picture, crop, false);
      const reading = options.flip === true ? averaged(plain, await read(picture, crop, true)) : plain;
      found.push(projected(reading, cropToPicture(crop), crop.sidePx / CROP_PX));
    }
    return found;
  }

  return {
    size,
    means: network.means,
    multiplyAdds: network.multiplyAdds,
    id: head === null ? `blazepose-${size}` : `blazepose-${size}+${head.id}`,
    async run(picture, crop, options = {}) {
      const [reading] = await readings(picture, [crop], options);
      if (reading === undefined) throw new RangeError('no reading');
      return reading;
    },
    runAll: (picture, crops, options = {}) => readings(picture, crops, options),
    dispose: () => { network.dispose(); },
  };
}

/** Landmarks of one crop in crop pixels. */
interface CropReading {
  readonly poseScore: number;
  /** 39 × 2. */
  readonly xy: Float32Array;
  /** 39 × 1. */
  readonly score: Float32Array;
  /** From the joint head, null without one. */
  readonly joints: JointReading | null;
}

/** Landmark of each joint of the head; "earL" is the left ear. */
const LANDMARK_OF_JOINT: Readonly<Record<string, LandmarkName>> = {
  nose: 'nose', earL: 'leftEar', earR: 'rightEar', shoulderL: 'leftShoulder', shoulderR: 'rightShoulder',
  elbowL: 'leftElbow', elbowR: 'rightElbow', wristL: 'leftWrist', wristR: 'rightWrist', hipL: 'leftHip', hipR: 'rightHip',
  kneeL: 'leftKnee', kneeR: 'rightKnee', ankleL: 'leftAnkle', ankleR: 'rightAnkle', heelL: 'leftHeel', heelR: 'rightHeel',
  toeL: 'leftFootIndex', toeR: 'rightFootIndex',
};

/** Plain and mirrored readings further apart than this are different limbs and are not averaged, crop pixels. */
const SAME_JOINT_PX = 10;

/** The joints in the order of the 33 landmarks; NaN where the head has none. */
function byLandmark(reading: JointReading, names: readonly string[]): JointReading {
  const xy = new Float32Array(LANDMARK_COUNT * 2).fill(Number.NaN);
  const sd = new Float32Array(LANDMARK_COUNT).fill(Number.NaN);
  const mass = new Float32Array(LANDMARK_COUNT).fill(Number.NaN);
  names.forEach((name, joint) => {
    const landmark = LANDMARK_OF_JOINT[name];
    if (landmark === undefined) throw new RangeError(`no landmark for joint ${name}`);
    const index = LANDMARK_INDEX[landmark];
    xy[index * 2] = reading.xy[joint * 2] as number;
    xy[index * 2 + 1] = reading.xy[joint * 2 + 1] as number;
    sd[index] = reading.sd[joint] as number;
    mass[index] = reading.mass[joint] as number;
  });
  return { xy, sd, mass };
}

function decode({ landmarks, poseLogit, heat, joints }: PoseMaps, head: JointHead | null): CropReading {
  const { rows, columns, numbers, pitch } = heat;
  const xy = new Float32Array(MODEL_LANDMARKS * 2);
  const score = new Float32Array(MODEL_LANDMARKS);
  const reach = (HEAT_KERNEL - 1) / 2;
  for (let index = 0; index < MODEL_LANDMARKS; index += 1) {
    const at = index * VALUES_EACH;
    let x = landmarks[at] as number;
    let y = landmarks[at + 1] as number;
    score[index] = sigmoid(landmarks[at + 3] as number) * sigmoid(landmarks[at + 4] as number);
    const column = Math.trunc((x / CROP_PX) * columns);
    const row = Math.trunc((y / CROP_PX) * rows);
    if (column >= 0 && column < columns && row >= 0 && row < rows) {
      // The model's own refinement: the heat-weighted mean near the regressed point.
      let sum = 0;
      let sumX = 0;
      let sumY = 0;
      let peak = 0;
      for (let j = Math.max(0, row - reach); j <= Math.min(rows - 1, row + reach); j += 1) {
        for (let i = Math.max(0, column - reach); i <= Math.min(columns - 1, column + reach); i += 1) {
          const value = sigmoid(numbers[(j * columns + i) * pitch + index] as number);
          sum += value;
          sumX += i * value;
          sumY += j * value;
          if (value > peak) peak = value;
        }
      }
      if (peak >= HEAT_MINIMUM && sum > 0) {
        x = (sumX / sum / columns) * CROP_PX;
        y = (sumY / sum / rows) * CROP_PX;
      }
    }
    xy[index * 2] = x;
    xy[index * 2 + 1] = y;
  }
  return {
    poseScore: sigmoid(poseLogit), xy, score,
    joints: head === null || joints === null ? null : byLandmark(readJoints(joints, head.layout), head.layout.joints),
  };
}

function averaged(plain: CropReading, mirrored: CropReading): CropReading {
  const xy = new Float32Array(plain.xy.length);
  const score = new Float32Array(plain.score.length);
  for (let index = 0; index < MODEL_LANDMARKS; index += 1) {
    const other = MIRRORED_INDEX[index] as number;
    xy[index * 2] = ((plain.xy[index * 2] as number) + CROP_PX - (mirrored.xy[other * 2] as number)) / 2;
    xy[index * 2 + 1] = ((plain.xy[index * 2 + 1] as number) + (mirrored.xy[other * 2 + 1] as number)) / 2;
    score[index] = ((plain.score[index] as number) + (mirrored.score[other] as number)) / 2;
  }
  return { poseScore: (plain.poseScore + mirrored.poseScore) / 2, xy, score, joints: averagedJoints(plain.joints, mirrored.joints) };
}

function averagedJoints(plain: JointReading | null, mirrored: JointReading | null): JointReading | null {
  if (plain === null || mirrored === null) return plain;
  const xy = plain.xy.slice();
  for (let index = 0; index < LANDMARK_COUNT; index += 1) {
    const other = MIRRORED_INDEX[index] as number;
    const x = CROP_PX - (mirrored.xy[other * 2] as number);
    const y = mirrored.xy[other * 2 + 1] as number;
    const apart = Math.hypot(x - (xy[index * 2] as number), y - (xy[index * 2 + 1] as number));
    if (!(apart <= SAME_JOINT_PX)) continue;
    xy[index * 2] = ((xy[index * 2] as number) + x) / 2;
    xy[index * 2 + 1] = ((xy[index * 2 + 1] as number) + y) / 2;
  }
  return { xy, sd: plain.sd, mass: plain.mass };
}

/** Standard deviation of a stock landmark in crop pixels, from rendered bodies. */
const STOCK_SD_PX = 6;

function projected(reading: CropReading, toPicture: Affine, pxPerCropPx: number): LandmarkReading {
  const [a, b, c, d, e, f] = toPicture;
  const point = (points: Float32Array, index: number): PicturePoint => {
    const x = points[index * 2] as number;
    const y = points[index * 2 + 1] as number;
    return { x: a * x + b * y + c, y: d * x + e * y + f };
  };
  const inPicture = (points: Float32Array): Float32Array => {
    const xy = new Float32Array(LANDMARK_COUNT * 2);
    for (let index = 0; index < LANDMARK_COUNT; index += 1) {
      const { x, y } = point(points, index);
      xy[index * 2] = x;
      xy[index * 2 + 1] = y;
    }
    return xy;
  };
  const stockXy = inPicture(reading.xy);
  const joints = reading.joints === null ? null : { xy: inPicture(reading.joints.xy), sd: reading.joints.sd };
  const share = joints === null ? 0 : headShare(joints.xy);
  const hipCentre = point(reading.xy, 33);
  const scalePoint = point(reading.xy, 34);
  return {
    poseScore: reading.poseScore,
    xy: joints === null ? stockXy : refineLandmarks(stockXy, joints.xy, share),
    score: reading.score.slice(0, LANDMARK_COUNT),
    sd: joints === null ? new Float32Array(LANDMARK_COUNT).fill(Number.NaN) : joints.sd.map((sd) => Math.hypot(share * sd, (1 - share) * STOCK_SD_PX) * pxPerCropPx),
    stockXy,
    hipCentre,
    scalePoint,
    nextCrop: cropFromAlignment(hipCentre, scalePoint),
  };
}

function sigmoid(value: number): number {
  return 1 / (1 + Math.exp(-value));
}
