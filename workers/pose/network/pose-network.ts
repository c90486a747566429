import type { MapView } from './kernel-network.ts';

/** What the landmark model gives for one picture. The numbers hold until it runs again. */
export interface PoseMaps {
  /** 39 landmarks × 5: x, y, z in crop pixels, then visibility and presence before their sigmoid. */
  readonly landmarks: Float32Array;
  /** Whether a person is there, before its sigmoid. */
  readonly poseLogit: number;
  /** Heat of the 39 landmarks, before its sigmoid. */
  readonly heat: MapView;
  /** The joint head's maps; null without one. */
  readonly joints: MapView | null;
}

/** By what a network runs: our kernels, with or without fused multiply–adds and products of 16-bit integers, or the tensor library on its backend. */
export type Means = `${'fused' | 'plain'}${' integer' | ''} kernels` | 'tensors';

/** The landmark model, with or without the joint head, ready to run on square pictures. */
export interface PoseNetwork {
  readonly means: Means;
  /** Multiply–adds of one run. */
  readonly multiplyAdds: number;
  /** Runs it on a picture of 256 × 256 × 3 numbers from 0 to 1. */
  run(pixels: Float32Array): Promise<PoseMaps>;
  /** Frees the weights. */
  dispose(): void;
}
