import { loadGraphModel } from '@tensorflow/tfjs-converter';
import type { GraphModel } from '@tensorflow/tfjs-converter';
import { dispose, tensor4d, tidy } from '@tensorflow/tfjs-core';
import type { Tensor, io } from '@tensorflow/tfjs-core';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';
import type { LandmarkName } from '../../src/pose/landmarks.ts';
import { CROP_PX, cropFromAlignment, cropToPicture } from './crop.ts';
import type { Crop, PicturePoint } from './crop.ts';
import { foldPadding, type StoredGraph } from './fold-padding.ts';
import { headShare } from './head-share.ts';
import { loadJointHead } from './joint-head.ts';
import type { JointHead, JointHeadSource } from './joint-head.ts';
import { onceRead } from './once-read.ts';
import type { Affine, Picture } from './picture.ts';
import { readJoints } from './read-joints.ts';
import type { JointReading } from './read-joints.ts';
import { refineLandmarks } from './refine-landmarks.ts';
import { sampleCrop } from './sample-crop.ts';

/** Sizes of the landmark model: lite is the fastest, heavy the most accurate. */
export type LandmarkModelSize = 'lite' | 'full' | 'heavy';

/** Where the model's graph and weights come from: two addresses of our own origin, or the files themselves. */
export type LandmarkModelSource =
  | { readonly modelUrl: string; readonly weightsUrl: string }
  | { readonly json: unknown; readonly weights: ArrayBuffer };

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

/**
 * Loads a landmark model (BlazePose, Bazarevsky et al. 2020, arXiv 2006.10204) for the backend that is set, with the
 * joint head where its files are given (full model only). Rejects when a file cannot be read.
 */
export async function loadLandmarkModel(
  size: LandmarkModelSize, source: LandmarkModelSource, extras: { readonly jointHead?: JointHeadSource | null } = {},
): Promise<LandmarkModel> {
  const headSource = extras.jointHead ?? null;
  if (headSource !== null && size !== 'full') throw new RangeError(`the joint head belongs to the full model, not ${size}`);
  const files = onceRead(graphHandler(source));
  const [graph, head] = await Promise.all([loadGraphModel(files.handler), headSource === null ? null : loadJointHead(headSource)]);
  files.forget();
  const buffer = new Float32Array(CROP_PX * CROP_PX * 3);

  async function readings(picture: Picture, crops: readonly Crop[], options: LandmarkRunOptions): Promise<LandmarkReading[]> {
    const found: LandmarkReading[] = [];
    for (const crop of crops) {
      const plain = await executeOnce(graph, head, sampleCrop(picture, crop, { into: buffer }));
      const read = options.flip === true
        ? averaged(plain, await executeOnce(graph, head, sampleCrop(picture, crop, { into: buffer, mirrored: true })))
        : plain;
      found.push(projected(read, cropToPicture(crop), crop.sidePx / CROP_PX));
    }
    return found;
  }

  return {
    size,
    id: head === null ? `blazepose-${size}` : `blazepose-${size}+${head.id}`,
    async run(picture, crop, options = {}) {
      const [reading] = await readings(picture, [crop], options);
      if (reading === undefined) throw new RangeError('no reading');
      return reading;
    },
    runAll: (picture, crops, options = {}) => readings(picture, crops, options),
    dispose: () => {
      graph.dispose();
      head?.dispose();
    },
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

const STOCK_OUTPUTS = ['ld_3d', 'output_poseflag', 'activation_heatmap'];

async function executeOnce(graph: GraphModel, head: JointHead | null, pixels: Float32Array): Promise<CropReading> {
  const tensors = tidy(() => {
    const outputs = graph.execute(tensor4d(pixels, [1, CROP_PX, CROP_PX, 3]), [...STOCK_OUTPUTS, ...(head?.taps ?? [])]) as Tensor[];
    const stock = outputs.slice(0, STOCK_OUTPUTS.length);
    return head === null ? stock : [...stock, head.maps(outputs.slice(STOCK_OUTPUTS.length))];
  });
  try {
    const [landmarks, flag, heat, maps] = await Promise.all(tensors.map((each) => each.data()));
    const [, , heatTensor] = tensors;
    if (landmarks === undefined || flag === undefined || heat === undefined || heatTensor === undefined) {
      throw new RangeError('the model gave too few outputs');
    }
    const [, heatRows = 0, heatColumns = 0] = heatTensor.shape;
    const stock = decode(landmarks as Float32Array, Number(flag[0]), heat as Float32Array, heatRows, heatColumns);
    if (head === null || maps === undefined) return { ...stock, joints: null };
    return { ...stock, joints: byLandmark(readJoints(maps as Float32Array, head.layout), head.layout.joints) };
  } finally {
    dispose(tensors);
  }
}

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

function decode(raw: Float32Array, poseScore: number, heat: Float32Array, rows: number, columns: number): Omit<CropReading, 'joints'> {
  const xy = new Float32Array(MODEL_LANDMARKS * 2);
  const score = new Float32Array(MODEL_LANDMARKS);
  const reach = (HEAT_KERNEL - 1) / 2;
  for (let index = 0; index < MODEL_LANDMARKS; index += 1) {
    const at = index * VALUES_EACH;
    let x = raw[at] as number;
    let y = raw[at + 1] as number;
    score[index] = sigmoid(raw[at + 3] as number) * sigmoid(raw[at + 4] as number);
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
          const value = heat[(j * columns + i) * MODEL_LANDMARKS + index] as number;
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
  return { poseScore, xy, score };
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

/** A handler that hands tfjs the graph and the weights wherever a bundler placed the two files. */
function graphHandler(source: LandmarkModelSource): io.IOHandler {
  return {
    async load() {
      const [json, weightData] = 'json' in source
        ? [source.json, source.weights]
        : await Promise.all([fetchOk(source.modelUrl).then((r) => r.json() as Promise<unknown>), fetchOk(source.weightsUrl).then((r) => r.arrayBuffer())]);
      const model = json as {
        modelTopology: StoredGraph; signature?: object; format?: string; generatedBy?: string; convertedBy?: string;
        weightsManifest: { weights: io.WeightsManifestEntry[] }[];
      };
      const weightSpecs = model.weightsManifest.flatMap((group) => group.weights);
      return {
        modelTopology: foldPadding(model.modelTopology, weightSpecs, weightData),
        weightSpecs,
        weightData,
        ...(model.signature === undefined ? {} : { signature: model.signature }),
        ...(model.format === undefined ? {} : { format: model.format }),
      };
    },
  };
}

async function fetchOk(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${response.status}`);
  return response;
}
