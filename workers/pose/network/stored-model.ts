import type { io } from '@tensorflow/tfjs-core';
import type { StoredGraph } from './stored-graph.ts';

/** Where a model's graph and weights come from: two addresses of our own origin, or the files themselves. */
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

/** Reads the files of a model. Rejects when one cannot be read. */
export async function storedModel(source: ModelSource): Promise<StoredModel> {
  const [json, weights] = 'json' in source
    ? [source.json, source.weights]
    : await Promise.all([
      fetchOk(source.modelUrl).then((response) => response.json() as Promise<unknown>),
      fetchOk(source.weightsUrl).then((response) => response.arrayBuffer()),
    ]);
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

async function fetchOk(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${response.status}`);
  return response;
}
