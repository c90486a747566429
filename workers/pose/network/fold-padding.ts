import type { io } from '@tensorflow/tfjs-core';
import { textAttribute, type StoredGraph } from './stored-graph.ts';
import { storedArray } from './stored-weights.ts';

const CONVOLUTIONS = ['Conv2D', '_FusedConv2D', 'DepthwiseConv2dNative', 'FusedDepthwiseConv2dNative'];

/**
 * The same graph with every padding by zeros that feeds a single convolution without padding done by that convolution:
 * the same numbers, without writing and reading a padded copy of the picture. `weights` holds the paddings.
 */
export function foldPadding(graph: StoredGraph, specs: readonly io.WeightsManifestEntry[], weights: ArrayBuffer): StoredGraph {
  const folded = new Map<string, { readonly from: string; readonly paddings: readonly number[] }>();
  for (const pad of graph.node) {
    if (pad.op !== 'Pad') continue;
    const users = graph.node.filter((node) => node.input?.includes(pad.name));
    const [user] = users;
    const [from, amounts] = pad.input ?? [];
    if (users.length !== 1 || user === undefined || from === undefined || amounts === undefined) continue;
    if (!CONVOLUTIONS.includes(user.op) || user.input?.[0] !== pad.name || textAttribute(user, 'padding') !== 'VALID') continue;
    const stored = storedArray(amounts, specs, weights)?.values;
    if (stored instanceof Int32Array) folded.set(pad.name, { from, paddings: [...stored] });
  }
  return {
    ...graph,
    node: graph.node.filter((node) => !folded.has(node.name)).map((node) => {
      const pad = folded.get(node.input?.[0] ?? '');
      if (pad === undefined) return node;
      return {
        ...node,
        input: [pad.from, ...(node.input?.slice(1) ?? [])],
        attr: { ...node.attr, padding: { s: btoa('EXPLICIT') }, explicit_paddings: { list: { i: pad.paddings.map(String) } } },
      };
    }),
  };
}
