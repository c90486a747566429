import type { io } from '@tensorflow/tfjs-core';
import { nodeBeneath, type StoredGraph } from './stored-graph.ts';

/** Where the model's graph and weights come from: two addresses of our own origin, or the files themselves. */
export type LandmarkModelSource =
  | { readonly modelUrl: string; readonly weightsUrl: string }
  | { readonly json: unknown; readonly weights: ArrayBuffer };

/** A landmark model as its two files hold it. */
export interface StoredPoseModel {
  readonly graph: StoredGraph;
  readonly specs: readonly io.WeightsManifestEntry[];
  readonly weights: ArrayBuffer;
  readonly signature: object | undefined;
}

/** Nodes of the graph, each before its sigmoid. */
export interface PoseOutputs {
  readonly picture: string;
  readonly landmarks: string;
  readonly flag: string;
  readonly heat: string;
}

/** Reads the files of a landmark model. Rejects when one cannot be read. */
export async function storedPoseModel(source: LandmarkModelSource): Promise<StoredPoseModel> {
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

/** The nodes that hold what is read of the model. Throws RangeError where the graph is not that of a landmark model. */
export function poseOutputs(graph: StoredGraph): PoseOutputs {
  const picture = graph.node.find(({ op }) => op === 'Placeholder');
  if (picture === undefined) throw new RangeError('the graph reads no picture');
  // Each output's name with its sigmoid, as the model's makers call it.
  const beneath = (ending: string): string => {
    const node = graph.node.find(({ name }) => name.endsWith(ending));
    if (node === undefined) throw new RangeError(`the graph makes no ${ending}`);
    return nodeBeneath(graph, node.name, ['Identity', 'Reshape', 'Sigmoid']).name;
  };
  return { picture: picture.name, landmarks: beneath('/ld_3d/Reshape'), flag: beneath('/output_poseflag/Reshape'), heat: beneath('/activation_heatmap/Sigmoid') };
}

async function fetchOk(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${response.status}`);
  return response;
}
