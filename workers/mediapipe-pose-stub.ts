/**
 * Stands in for a closure script that pose-detection imports for a runtime we never use; without it the bundle fails.
 * https://github.com/tensorflow/tfjs-models/pull/950
 */
export class Pose {
  constructor() {
    throw new Error('this runtime is not part of Lungeline');
  }
}
