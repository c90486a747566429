import { loadGraphModel } from '@tensorflow/tfjs-converter';
import { dispose, tensor4d, tidy } from '@tensorflow/tfjs-core';
import type { Tensor, Tensor4D } from '@tensorflow/tfjs-core';
import { CROP_PX } from '../crop.ts';
import type { JointHead } from '../joint-head.ts';
import { foldPadding } from './fold-padding.ts';
import type { MapView } from './kernel-network.ts';
import { onceRead } from './once-read.ts';
import type { PoseNetwork } from './pose-network.ts';
import { poseOutputs } from './pose-outputs.ts';
import { tensorFiles, type StoredModel } from './stored-model.ts';
import { tensorLayers } from './tensor-layers.ts';

/** The landmark model by the tensor library, on the backend that runs. `multiplyAdds` is passed on. */
export async function graphNetwork(model: StoredModel, head: JointHead | null, multiplyAdds: number): Promise<PoseNetwork> {
  const files = onceRead(tensorFiles({ ...model, graph: foldPadding(model.graph, model.specs, model.weights) }));
  const graph = await loadGraphModel(files.handler);
  files.forget();
  const outputs = poseOutputs(model.graph);
  const names = [outputs.landmarks, outputs.flag, outputs.heat, ...(head?.taps ?? [])];
  const headLayers = head === null ? null : tensorLayers(head.layers);
  return {
    means: 'tensors',
    multiplyAdds,
    async run(pixels) {
      const tensors = tidy(() => {
        const made = graph.execute(tensor4d(pixels, [1, CROP_PX, CROP_PX, 3]), names) as Tensor4D[];
        const stock: Tensor[] = made.slice(0, 3);
        if (head === null || headLayers === null) return stock;
        return [...stock, headLayers.run(new Map(head.taps.map((name, index) => [name, made[index + 3] as Tensor4D])))];
      });
      try {
        const [landmarks, flag, heat, joints] = await Promise.all(tensors.map((each) => each.data() as Promise<Float32Array>));
        if (landmarks === undefined || flag === undefined || heat === undefined) throw new RangeError('the model gave too few outputs');
        return {
          landmarks, poseLogit: flag[0] ?? Number.NaN, heat: view(heat, tensors[2]), joints: joints === undefined ? null : view(joints, tensors[3]),
        };
      } finally {
        dispose(tensors);
      }
    },
    dispose: () => {
      graph.dispose();
      headLayers?.dispose();
    },
  };
}

function view(numbers: Float32Array, tensor: Tensor | undefined): MapView {
  const [, rows = 0, columns = 0, channels = 0] = tensor?.shape ?? [];
  return { numbers, rows, columns, channels, pitch: channels };
}
