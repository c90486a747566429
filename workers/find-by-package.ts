import * as tf from '@tensorflow/tfjs';
import { createDetector, movenet, SupportedModels } from '@tensorflow-models/pose-detection';
import { MIN_PERSON_SCORE, type PeopleSeer } from './people-finder.ts';
import { CROP_PX } from './pose/crop.ts';
import { onceRead } from './pose/network/once-read.ts';
import { tensorFiles, type StoredModel } from './pose/network/stored-model.ts';

/** MoveNet MultiPose by the pose package, on the backend of the tensor library that is set. */
export async function seerByPackage(model: StoredModel): Promise<PeopleSeer> {
  const files = onceRead(tensorFiles(model));
  const detector = await createDetector(SupportedModels.MoveNet, {
    modelType: movenet.modelType.MULTIPOSE_LIGHTNING,
    modelUrl: files.handler,
    enableSmoothing: false,
    enableTracking: false,
    minPoseScore: MIN_PERSON_SCORE,
    multiPoseMaxDimension: CROP_PX,
  });
  files.forget();
  return {
    async see(pixels) {
      const image = tf.tidy(() => tf.tensor3d(pixels, [CROP_PX, CROP_PX, 3]).mul(255).round().toInt()) as tf.Tensor3D;
      try {
        return await detector.estimatePoses(image);
      } finally {
        image.dispose();
      }
    },
    dispose: () => {
      detector.dispose();
    },
  };
}
