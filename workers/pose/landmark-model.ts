import { loadGraphModel } from '@tensorflow/tfjs-converter';
import type { GraphModel } from '@tensorflow/tfjs-converter';
import { dispose, tensor4d, tidy } from '@tensorflow/tfjs-core';
import type { Tensor, io } from '@tensorflow/tfjs-core';
import { LANDMARK_COUNT } from '../../src/pose/landmarks.ts';
import { CROP_PX, cropFromAlignment, cropToPicture } from './crop.ts';
import type { Crop, PicturePoint } from './crop.ts';
import type { Affine, Picture } from './picture.ts';
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
  /** 33 × 2, x then y. */
  readonly xy: Float32Array;
  /** 33 × 1, 0 to 1: in the picture and visible. */
  readonly score: Float32Array;
  /** 33 × 1, one standard deviation in pixels; NaN where the estimator does not state one. */
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
  /** Id for tracks, e.g. "blazepose-full". */
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
 * Loads a landmark model (BlazePose, Bazarevsky et al. 2020, arXiv 2006.10204) for the backend that is set.
 * Rejects when a file cannot be read.
 */
export async function loadLandmarkModel(size: LandmarkModelSize, source: LandmarkModelSource): Promise<LandmarkModel> {
  const graph = await loadGraphModel(graphHandler(source));
  const outputs = ['ld_3d', 'output_poseflag', 'activation_heatmap'];
  const buffer = new Float32Array(CROP_PX * CROP_PX * 3);

  async function readings(picture: Picture, crops: readonly Crop[], options: LandmarkRunOptions): Promise<LandmarkReading[]> {
    const found: LandmarkReading[] = [];
    for (const crop of crops) {
      const plain = await executeOnce(graph, outputs, sampleCrop(picture, crop, { into: buffer }));
      const read = options.flip === true
        ? averaged(plain, await executeOnce(graph, outputs, sampleCrop(picture, crop, { into: buffer, mirrored: true })))
        : plain;
      found.push(projected(read, cropToPicture(crop)));
    }
    return found;
  }

  return {
    size,
    id: `blazepose-${size}`,
    async run(picture, crop, options = {}) {
      const [reading] = await readings(picture, [crop], options);
      if (reading === undefined) throw new RangeError('no reading');
      return reading;
    },
    runAll: (picture, crops, options = {}) => readings(picture, crops, options),
    dispose: () => { graph.dispose(); },
  };
}

/** Landmarks of one crop in crop pixels. */
interface CropReading {
  readonly poseScore: number;
  /** 39 × 2. */
  readonly xy: Float32Array;
  /** 39 × 1. */
  readonly score: Float32Array;
}

async function executeOnce(graph: GraphModel, outputs: string[], pixels: Float32Array): Promise<CropReading> {
  const tensors = tidy(() => graph.execute(tensor4d(pixels, [1, CROP_PX, CROP_PX, 3]), outputs)) as Tensor[];
  try {
    const [landmarks, flag, heat] = await Promise.all(tensors.map((tensor) => tensor.data()));
    const [, , heatTensor] = tensors;
    if (landmarks === undefined || flag === undefined || heat === undefined || heatTensor === undefined) {
      throw new RangeError('the model gave too few outputs');
    }
    const [, heatRows = 0, heatColumns = 0] = heatTensor.shape;
    return decode(landmarks as Float32Array, Number(flag[0]), heat as Float32Array, heatRows, heatColumns);
  } finally {
    dispose(tensors);
  }
}

function decode(raw: Float32Array, poseScore: number, heat: Float32Array, rows: number, columns: number): CropReading {
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
  return { poseScore: (plain.poseScore + mirrored.poseScore) / 2, xy, score };
}

function projected(reading: CropReading, toPicture: Affine): LandmarkReading {
  const [a, b, c, d, e, f] = toPicture;
  const point = (index: number): PicturePoint => {
    const x = reading.xy[index * 2] as number;
    const y = reading.xy[index * 2 + 1] as number;
    return { x: a * x + b * y + c, y: d * x + e * y + f };
  };
  const xy = new Float32Array(LANDMARK_COUNT * 2);
  for (let index = 0; index < LANDMARK_COUNT; index += 1) {
    const { x, y } = point(index);
    xy[index * 2] = x;
    xy[index * 2 + 1] = y;
  }
  const hipCentre = point(33);
  const scalePoint = point(34);
  return {
    poseScore: reading.poseScore,
    xy,
    score: reading.score.slice(0, LANDMARK_COUNT),
    sd: new Float32Array(LANDMARK_COUNT).fill(Number.NaN),
    stockXy: xy,
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
        modelTopology: object; signature?: object; format?: string; generatedBy?: string; convertedBy?: string;
        weightsManifest: { weights: io.WeightsManifestEntry[] }[];
      };
      return {
        modelTopology: model.modelTopology,
        weightSpecs: model.weightsManifest.flatMap((group) => group.weights),
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
