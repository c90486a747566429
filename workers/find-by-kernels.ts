import { loadGraphModel } from '@tensorflow/tfjs-converter';
import { tensor4d, tidy, type Tensor, type Tensor4D } from '@tensorflow/tfjs-core';
import type { PeopleSeer, PoseSeen } from './people-finder.ts';
import { CROP_PX } from './pose/crop.ts';
import { graphLayers } from './pose/network/graph-layers.ts';
import { kernelNetwork, type MapView } from './pose/network/kernel-network.ts';
import type { Kernels } from './pose/network/load-kernels.ts';
import { restOfModel } from './pose/network/rest-of-model.ts';
import { tensorFiles, type StoredModel } from './pose/network/stored-model.ts';

/** The model's last convolutions; what follows picks people out of their maps. */
const HEAD = /\/(center|box_scale|box_offset|kpt_heatmap|kpt_regress|kpt_offset)_0\/conv2d_\d+\/BiasAdd$/;
/** The node that holds the picture as the first convolution reads it. */
const PICTURE = 'StatefulPartitionedCall/sub_1';
const RESULT = 'Identity';
const POINTS = 17;
/** Numbers a person: y, x and score of 17 points, a box of four, a score. */
const NUMBERS_EACH = 3 * POINTS + 5;

/**
 * MoveNet MultiPose (https://www.kaggle.com/models/google/movenet) with its convolutions by our own kernels and its picking
 * of people by the tensor library on the backend that is set. Throws RangeError for a graph that is not this model's.
 */
export async function seerByKernels(kernels: Kernels, model: StoredModel): Promise<PeopleSeer> {
  const heads = model.graph.node.map(({ name }) => name).filter((name) => HEAD.test(name));
  const network = kernelNetwork(kernels, { name: PICTURE, size: CROP_PX }, graphLayers(model, PICTURE, heads), heads);
  const picker = await loadGraphModel(tensorFiles(restOfModel(model, heads, [RESULT])));
  const input = new Float32Array(CROP_PX * CROP_PX * 3);
  return {
    async see(pixels) {
      // The model was made for bytes: x / 127.5 − 1.
      for (let i = 0; i < input.length; i += 1) input[i] = Math.round((pixels[i] as number) * 255) / 127.5 - 1;
      const maps = network.run(input);
      const people = tidy(() => picker.execute(Object.fromEntries(heads.map((name, index) => [name, packed(maps[index])])), RESULT) as Tensor);
      try {
        return posesIn(await people.data() as Float32Array);
      } finally {
        people.dispose();
      }
    },
    dispose: () => { picker.dispose(); },
  };
}

/** A map without the channels that only fill up. */
function packed(view: MapView | undefined): Tensor4D {
  if (view === undefined) throw new RangeError('the network gave too few maps');
  const { rows, columns, channels, pitch, numbers } = view;
  const values = new Float32Array(rows * columns * channels);
  for (let pixel = 0; pixel < rows * columns; pixel += 1) {
    values.set(numbers.subarray(pixel * pitch, pixel * pitch + channels), pixel * channels);
  }
  return tensor4d(values, [1, rows, columns, channels]);
}

function posesIn(numbers: Float32Array): PoseSeen[] {
  return Array.from({ length: Math.floor(numbers.length / NUMBERS_EACH) }, (_, person) => {
    const at = person * NUMBERS_EACH;
    return {
      score: numbers[at + NUMBERS_EACH - 1] ?? 0,
      keypoints: Array.from({ length: POINTS }, (__, point) => ({
        y: (numbers[at + 3 * point] ?? 0) * CROP_PX, x: (numbers[at + 3 * point + 1] ?? 0) * CROP_PX, score: numbers[at + 3 * point + 2] ?? 0,
      })),
    };
  });
}
