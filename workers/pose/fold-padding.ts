import type { io } from '@tensorflow/tfjs-core';

/** A node of a stored TensorFlow graph, the parts that are read here. */
interface GraphNode {
  readonly name: string;
  readonly op: string;
  readonly input?: readonly string[];
  readonly attr?: Readonly<Record<string, unknown>>;
}

/** A stored graph as its JSON file holds it. */
export interface StoredGraph {
  readonly node: readonly GraphNode[];
}

const CONVOLUTIONS = ['Conv2D', '_FusedConv2D', 'DepthwiseConv2dNative', 'FusedDepthwiseConv2dNative'];
const VALID = btoa('VALID');

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
    if (!CONVOLUTIONS.includes(user.op) || user.input?.[0] !== pad.name || attribute(user, 'padding') !== VALID) continue;
    const paddings = wholeNumbers(amounts, specs, weights);
    if (paddings !== null) folded.set(pad.name, { from, paddings });
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

function attribute(node: GraphNode, name: string): unknown {
  return (node.attr?.[name] as { readonly s?: unknown } | undefined)?.s;
}

/** A constant of whole numbers out of the weights, null where there is none of this name. */
function wholeNumbers(name: string, specs: readonly io.WeightsManifestEntry[], weights: ArrayBuffer): readonly number[] | null {
  let offset = 0;
  for (const spec of specs) {
    const count = spec.shape.reduce((product, side) => product * side, 1);
    if (spec.name === name) {
      if (spec.dtype !== 'int32' || spec.quantization !== undefined) return null;
      return [...new Int32Array(weights.slice(offset, offset + 4 * count))];
    }
    offset += count * bytesEach(spec);
  }
  return null;
}

function bytesEach({ dtype, quantization }: io.WeightsManifestEntry): number {
  const stored = quantization?.dtype ?? dtype;
  if (stored === 'float32' || stored === 'int32') return 4;
  if (stored === 'float16' || stored === 'uint16') return 2;
  if (stored === 'uint8' || stored === 'bool') return 1;
  throw new RangeError(`weights of type ${stored} are not known here`);
}
