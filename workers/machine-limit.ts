import * as tf from '@tensorflow/tfjs';
import type { Backend } from './contract.ts';
import { multiplyAdds } from './multiply-adds.ts';
import { prepareModels } from './prepare-models.ts';
import { loadReferencePicture, REFERENCE_CROP } from './reference-picture.ts';

/** What one frame asks of this processor, and what it can give on the backend that runs. */
export interface MachineLimit {
  readonly backend: Backend;
  /** Multiply–adds of one frame: landmark model with joint head. */
  readonly frameMultiplyAdds: number;
  /** Median milliseconds of one frame of the model, with its sampler, on a picture that lies ready. */
  readonly frameMs: number;
  /** Multiply–adds a second in a 512 × 512 matrix product on the same backend: what one worker can reach here. */
  readonly peakPerS: number;
}

const TIMED_FRAMES = 12;
const TIMED_PRODUCTS = 8;
const SIZE = 512;

/** Times the full model and a large matrix product, one worker alone. Throws where the backend does not start. */
export async function machineLimit(backend: Backend): Promise<MachineLimit> {
  const prepared = await prepareModels('full', backend);
  if (!prepared.ok) throw new Error(`backend ${backend} does not start`);
  const { model } = prepared.value;
  const picture = await loadReferencePicture();
  const frame = (): Promise<unknown> => model.run(picture, REFERENCE_CROP);
  await frame();
  const { kernels } = await tf.profile(async () => {
    await frame();
    return [];
  });
  const times: number[] = [];
  for (let i = 0; i < TIMED_FRAMES; i += 1) times.push(await timed(frame));
  times.sort((a, b) => a - b);

  const left = tf.randomUniform<tf.Rank.R2>([SIZE, SIZE]);
  const right = tf.randomUniform<tf.Rank.R2>([SIZE, SIZE]);
  let best = Infinity;
  for (let i = 0; i < TIMED_PRODUCTS; i += 1) {
    best = Math.min(best, await timed(async () => {
      const product = tf.matMul(left, right);
      await product.data();
      product.dispose();
    }));
  }
  tf.dispose([left, right]);
  return {
    backend,
    frameMultiplyAdds: kernels.reduce((sum, { name, inputShapes, outputShapes }) => sum + multiplyAdds(name, inputShapes as (readonly number[])[], outputShapes), 0),
    frameMs: times[TIMED_FRAMES / 2] ?? Number.NaN,
    peakPerS: SIZE ** 3 / (best / 1000),
  };
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const started = performance.now();
  await work();
  return performance.now() - started;
}
