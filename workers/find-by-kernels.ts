import type { PeopleSeer } from './people-finder.ts';
import { pickPeople, type PeopleMaps } from './pick-people.ts';
import { CROP_PX } from './pose/crop.ts';
import { graphLayers } from './pose/network/graph-layers.ts';
import { kernelNetwork, type MapView } from './pose/network/kernel-network.ts';
import type { Kernels } from './pose/network/load-kernels.ts';
import type { StoredGraph } from './pose/network/stored-graph.ts';
import type { StoredModel } from './pose/network/stored-model.ts';

/** Names of the model's heads, as its makers call them. */
const HEADS: Readonly<Record<keyof PeopleMaps, string>> = {
  middle: 'center', boxSize: 'box_scale', boxOffset: 'box_offset', pointHeat: 'kpt_heatmap', pointReach: 'kpt_regress', pointOffset: 'kpt_offset',
};
/** The node that holds the picture as the first convolution reads it. */
const PICTURE = 'StatefulPartitionedCall/sub_1';

/**
 * MoveNet MultiPose (https://www.kaggle.com/models/google/movenet) by our own kernels. Throws RangeError for a graph that is
 * not this model's.
 */
export function seerByKernels(kernels: Kernels, model: StoredModel): PeopleSeer {
  const nodes = headNodes(model.graph);
  const network = kernelNetwork(kernels, { name: PICTURE, size: CROP_PX }, graphLayers(model, PICTURE, nodes), nodes);
  const input = new Float32Array(CROP_PX * CROP_PX * 3);
  return {
    see(pixels) {
      // The model was made for bytes: x / 127.5 − 1.
      for (let i = 0; i < input.length; i += 1) input[i] = Math.trunc((pixels[i] as number) * 255 + 0.5) / 127.5 - 1;
      const views = network.run(input);
      const maps = Object.fromEntries(Object.keys(HEADS).map((head, index) => [head, views[index] as MapView])) as unknown as PeopleMaps;
      return Promise.resolve(pickPeople(maps, CROP_PX / maps.middle.columns));
    },
    // The kernels' memory goes with the network that nothing holds any more.
    dispose: () => undefined,
  };
}

/** Names of the nodes that end the heads. A function by itself: beside the seer it would hold the model's file as long as that. */
function headNodes({ node: nodes }: StoredGraph): readonly string[] {
  return Object.values(HEADS).map((head) => {
    const last = new RegExp(`/${head}_0/conv2d_\\d+/BiasAdd$`);
    const node = nodes.find(({ name }) => last.test(name));
    if (node === undefined) throw new RangeError(`the graph has no ${head}`);
    return node.name;
  });
}
