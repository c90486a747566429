import { CROP_PX } from '../crop.ts';
import { JOINT_MAPS, type JointHead } from '../joint-head.ts';
import { graphLayers } from './graph-layers.ts';
import { graphNetwork } from './graph-network.ts';
import { kernelNetwork } from './kernel-network.ts';
import { layerMultiplyAdds, shapesOf, type MapShape } from './layers.ts';
import type { KernelBuild } from './load-kernels.ts';
import type { PoseNetwork } from './pose-network.ts';
import { poseOutputs } from './pose-outputs.ts';
import type { StoredModel } from './stored-model.ts';

/**
 * The landmark model with or without the joint head: by our own kernels where they are given, else by the
 * tensor library on the backend that is set. Both give the same landmarks but for rounding, some hundredths of a pixel.
 */
export async function loadPoseNetwork(model: StoredModel, head: JointHead | null, kernels: KernelBuild | null): Promise<PoseNetwork> {
  const outputs = poseOutputs(model.graph);
  const wanted = [outputs.landmarks, outputs.flag, outputs.heat];
  const layers = [...graphLayers(model, outputs.picture, [...wanted, ...(head?.taps ?? [])]), ...(head?.layers ?? [])];
  const picture = { name: outputs.picture, size: CROP_PX };
  const shapes = shapesOf(layers, picture);
  const multiplyAdds = layers.reduce((count, layer) => count + layerMultiplyAdds(layer, shapes.get(layer.name) as MapShape), 0);
  if (kernels === null) return graphNetwork(model, head, multiplyAdds);
  const started = kernels.start();
  const network = kernelNetwork(started, picture, layers, head === null ? wanted : [...wanted, JOINT_MAPS]);
  return {
    means: `${kernels.fused ? 'fused' : 'plain'}${started.integers ? ' integer' : ''} kernels`,
    multiplyAdds,
    run(pixels) {
      const [landmarks, flag, heat, joints] = network.run(pixels);
      if (landmarks === undefined || flag === undefined || heat === undefined) throw new RangeError('the network gave too few maps');
      return Promise.resolve({ landmarks: landmarks.numbers, poseLogit: flag.numbers[0] ?? Number.NaN, heat, joints: joints ?? null });
    },
    // The kernels' memory goes with the network that nothing holds any more.
    dispose: () => undefined,
  };
}
