import * as tf from '@tensorflow/tfjs';
import type { Backend } from './contract.ts';
import { INTEGER_BLOCK_BYTES } from './pose/network/integer-weights.ts';
import { growTo, type Kernels } from './pose/network/load-kernels.ts';
import type { Means } from './pose/network/pose-network.ts';
import { kernelBuild, prepareModels } from './prepare-models.ts';
import { loadReferencePicture, REFERENCE_CROP } from './reference-picture.ts';

/** What one frame asks of this processor, and what it can give on the backend that runs. */
export interface MachineLimit {
  readonly backend: Backend;
  /** By what the model runs there. */
  readonly means: Means;
  /** Multiply–adds of one frame: landmark model with joint head. */
  readonly frameMultiplyAdds: number;
  /** Median milliseconds of one frame of the model, with its sampler, on a picture that lies ready. */
  readonly frameMs: number;
  /** Multiply–adds a second in a 512 × 512 matrix product by the same means: what one worker can reach here. */
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
  const times: number[] = [];
  for (let i = 0; i < TIMED_FRAMES; i += 1) times.push(await timed(frame));
  times.sort((a, b) => a - b);

  const kernels = model.means === 'tensors' ? null : await kernelBuild();
  const product = kernels === null ? tensorProduct() : kernelProduct(kernels.start());
  let best = Infinity;
  for (let i = 0; i < TIMED_PRODUCTS; i += 1) best = Math.min(best, await timed(product.run));
  product.dispose();
  return {
    backend,
    means: model.means,
    frameMultiplyAdds: model.multiplyAdds,
    frameMs: times[TIMED_FRAMES / 2] ?? Number.NaN,
    peakPerS: SIZE ** 3 / (best / 1000),
  };
}

interface Product {
  readonly run: () => Promise<unknown>;
  readonly dispose: () => void;
}

function tensorProduct(): Product {
  const left = tf.randomUniform<tf.Rank.R2>([SIZE, SIZE]);
  const right = tf.randomUniform<tf.Rank.R2>([SIZE, SIZE]);
  return {
    async run() {
      const product = tf.matMul(left, right);
      await product.data();
      product.dispose();
    },
    dispose: () => { tf.dispose([left, right]); },
  };
}

/** The product as a convolution of 512 pixels from 512 channels to 512. */
function kernelProduct(kernels: Kernels): Product {
  const line = SIZE * 4;
  const bytes = SIZE * line;
  const [left, right, bias, out, band] = [line, line + bytes, line + 2 * bytes, 2 * line + 2 * bytes, 2 * line + 3 * bytes];
  growTo(kernels.memory, band + INTEGER_BLOCK_BYTES);
  new Float32Array(kernels.memory.buffer, left, bytes / 4).forEach((_, index, numbers) => { numbers[index] = Math.sin(index); });
  if (kernels.integers) new Int16Array(kernels.memory.buffer, right, bytes / 4).forEach((_, index, numbers) => { numbers[index] = 100 * Math.sin(index); });
  else new Float32Array(kernels.memory.buffer, right, bytes / 4).forEach((_, index, numbers) => { numbers[index] = Math.sin(index); });
  return {
    run() {
      if (kernels.integers) kernels.convolveIntegers(1, SIZE, left, 0, line, 1, line, 0, right, bias, bias, SIZE / 8, out, 0, -Infinity, Infinity, 1, 1000, band);
      else kernels.convolve(1, SIZE, left, 0, line, 1, line, 0, right, bias, SIZE / 8, out, 0, -Infinity, Infinity);
      return Promise.resolve();
    },
    dispose: () => undefined,
  };
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const started = performance.now();
  await work();
  return performance.now() - started;
}
