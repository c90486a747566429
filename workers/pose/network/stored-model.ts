import type { io } from '@tensorflow/tfjs-core';
import { fetchOk } from '../../fetch-ok.ts';
import type { StoredGraph } from './stored-graph.ts';

/** Where a model's description and its weights come from: two addresses of our own origin, or the files themselves. */
export type ModelSource =
  | { readonly modelUrl: string; readonly weightsUrl: string }
  | { readonly json: unknown; readonly weights: ArrayBuffer };

/** A model as its two files hold it. */
export interface StoredModel {
  readonly graph: StoredGraph;
  readonly specs: readonly io.WeightsManifestEntry[];
  readonly weights: ArrayBuffer;
  /** Names of what goes in and comes out, as the tensor library wants them. */
  readonly signature: object | undefined;
}

/** A model's description and weights. Rejects when a file cannot be read. */
export async function modelFiles(source: ModelSource): Promise<readonly [unknown, ArrayBuffer]> {
  if ('json' in source) return [source.json, source.weights];
  return Promise.all([
    fetchOk(source.modelUrl).then((response) => response.json() as Promise<unknown>),
    fetchOk(source.weightsUrl).then((response) => response.arrayBuffer()),
  ]);
}

/** Reads the files of a model. Rejects when one cannot be read. */
export async function storedModel(source: ModelSource): Promise<StoredModel> {
  const [json, weights] = await modelFiles(source);
  const { modelTopology, signature, weightsManifest } = json as {
    modelTopology: StoredGraph; signature?: object; weightsManifest: { weights: io.WeightsManifestEntry[] }[];
  };
  return { graph: modelTopology, signature, weights, specs: weightsManifest.flatMap((group) => group.weights) };
}

/** A model for the tensor library to read. */
export function tensorFiles({ graph, specs, weights, signature }: StoredModel): io.IOHandler {
  return {
    load: () => Promise.resolve({ modelTopology: graph, weightSpecs: [...specs], weightData: weights, ...(signature === undefined ? {} : { signature }) }),
  };
}
