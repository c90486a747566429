import type { io } from '@tensorflow/tfjs-core';
import type { StoredModel } from './stored-model.ts';
import type { GraphNode } from './stored-graph.ts';
import { bytesOf } from './stored-weights.ts';

/**
 * What is left of a stored model when the maps of some nodes are given: these nodes read from outside, and only what leads
 * from them to the model's outputs stays, with its own weights. The nodes given are the inputs.
 */
export function restOfModel(model: StoredModel, given: readonly string[], outputs: readonly string[]): StoredModel {
  const nodes = new Map(model.graph.node.map((node) => [node.name, node]));
  const kept = new Map<string, GraphNode>();
  const keep = (name: string): void => {
    const node = nodes.get(plain(name));
    if (node === undefined) throw new RangeError(`the graph has no ${name}`);
    if (kept.has(node.name)) return;
    if (given.includes(node.name)) {
      kept.set(node.name, { name: node.name, op: 'Placeholder', attr: { dtype: { type: 'DT_FLOAT' }, shape: { shape: { unknownRank: true } } } });
      return;
    }
    kept.set(node.name, node);
    node.input?.forEach(keep);
  };
  outputs.forEach(keep);
  const specs: io.WeightsManifestEntry[] = [];
  const parts: Uint8Array[] = [];
  let at = 0;
  for (const spec of model.specs) {
    const length = bytesOf(spec);
    if (kept.get(spec.name)?.op === 'Const') {
      specs.push(spec);
      parts.push(new Uint8Array(model.weights, at, length));
    }
    at += length;
  }
  const weights = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let to = 0;
  for (const part of parts) {
    weights.set(part, to);
    to += part.length;
  }
  return { graph: { ...model.graph, node: model.graph.node.flatMap(({ name }) => kept.get(name) ?? []) }, specs, weights: weights.buffer, signature: undefined };
}

function plain(name: string): string {
  return (name.split(':')[0] ?? name).replace('^', '');
}
