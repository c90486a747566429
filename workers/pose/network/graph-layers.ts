import type { Activation, Layer } from './layers.ts';
import { flagAttribute, numbersAttribute, textAttribute, textsAttribute, type GraphNode } from './stored-graph.ts';
import type { StoredModel } from './stored-model.ts';
import { storedArray, type StoredArray } from './stored-weights.ts';

/**
 * The layers that make the wanted nodes of a stored graph out of the node `picture`, in an order in which they can run; each
 * map has its node's name. Throws RangeError for a node that no layer stands for.
 */
export function graphLayers({ graph, specs, weights }: StoredModel, picture: string, wanted: readonly string[]): readonly Layer[] {
  const nodes = new Map(graph.node.map((node) => [node.name, node]));
  const layers: Layer[] = [];
  const done = new Set<string>();

  function array(node: GraphNode, index: number): StoredArray {
    const name = node.input?.[index];
    const found = name === undefined ? null : storedArray(name, specs, weights);
    if (found === null) throw new RangeError(`${node.name} has no stored input ${index}`);
    return found;
  }
  function floats(node: GraphNode, index: number): Float32Array {
    const { values } = array(node, index);
    if (!(values instanceof Float32Array)) throw new RangeError(`${node.name}: input ${index} is not made of floats`);
    return values;
  }

  /** The map that a convolution reads, past a padding by zeros, and how many rows of zeros lie before and after it. */
  function source(node: GraphNode, size: number, stride: number): { readonly from: string; readonly before: number; readonly after: number } {
    const from = input(node, 0);
    const padding = textAttribute(node, 'padding');
    // The library pads a map of even size for a stride of 2 below and right only.
    const inAll = size - stride;
    if (padding === 'SAME') return { from, before: inAll >> 1, after: inAll - (inAll >> 1) };
    if (padding !== 'VALID') throw new RangeError(`${node.name}: padding ${padding ?? 'of no kind'}`);
    const pad = nodes.get(from);
    if (pad?.op !== 'Pad') return { from, before: 0, after: 0 };
    const [, , above, below, left, right] = [...array(pad, 1).values];
    if (above === undefined || below === undefined || above !== left || below !== right) throw new RangeError(`${pad.name} pads unevenly`);
    return { from: input(pad, 0), before: above, after: below };
  }

  function layerOf(node: GraphNode): Layer {
    const { name, op } = node;
    if (op === '_FusedConv2D') {
      const [size = 0, width, channelsIn = 0, channelsOut = 0] = array(node, 1).shape;
      const stride = strideOf(node);
      const { from, before, after } = source(node, size, stride);
      if (width !== size) throw new RangeError(`${name}: its window is not square`);
      return {
        op: 'convolve', name, from, size, stride, before, after, channelsIn, channelsOut,
        filter: floats(node, 1), bias: floats(node, 2), activation: fusedActivation(node), plus: null,
      };
    }
    if (op === 'FusedDepthwiseConv2dNative' || op === 'DepthwiseConv2dNative') {
      const [size = 0, width, channels = 0, each] = array(node, 1).shape;
      const stride = strideOf(node);
      const { from, before, after } = source(node, size, stride);
      if (width !== size || each !== 1 || before + after < size - stride) throw new RangeError(`${name}: its window is not square`);
      const alone = op === 'DepthwiseConv2dNative';
      return {
        op: 'depthwise', name, from, size, stride, before, channels, filter: floats(node, 1),
        bias: alone ? new Float32Array(channels) : floats(node, 2), activation: alone ? 'linear' : fusedActivation(node),
      };
    }
    if (op === 'AddV2') return { op: 'sum', name, from: input(node, 0), plus: input(node, 1), activation: 'linear' };
    if (op === 'ResizeBilinear') {
      if (!flagAttribute(node, 'half_pixel_centers') || flagAttribute(node, 'align_corners')) throw new RangeError(`${name} enlarges in another way`);
      return { op: 'enlarge', name, from: input(node, 0), plus: null, activation: 'linear' };
    }
    if (op === 'MaxPool' && numbersAttribute(node, 'ksize').join() === '1,2,2,1' && strideOf(node) === 2) {
      return { op: 'largest', name, from: input(node, 0), plus: null, activation: 'linear' };
    }
    if (op === 'Pad') return widening(node);
    throw new RangeError(`no layer stands for ${name} (${op})`);
  }

  /** Channels of zeros put after a map's own: a convolution that hands each channel on. */
  function widening(node: GraphNode): Layer {
    const [, , above, below, left, right, before, after = 0] = [...array(node, 1).values];
    const from = input(node, 0);
    const channelsIn = channelsMade(from);
    if ((above ?? below ?? left ?? right ?? before) !== 0 || channelsIn === null) throw new RangeError(`no layer stands for ${node.name} (${node.op})`);
    const channelsOut = channelsIn + after;
    const filter = new Float32Array(channelsIn * channelsOut);
    for (let channel = 0; channel < channelsIn; channel += 1) filter[channel * channelsOut + channel] = 1;
    return {
      op: 'convolve', name: node.name, from, size: 1, stride: 1, before: 0, after: 0, channelsIn, channelsOut, filter, bias: new Float32Array(channelsOut),
      activation: 'linear', plus: null,
    };
  }
  /** Channels of a node's map, from the last convolution before it; null where there is none. */
  function channelsMade(name: string): number | null {
    const node = nodes.get(name);
    if (node === undefined) return null;
    if (node.op === '_FusedConv2D') return array(node, 1).shape[3] ?? null;
    if (node.op.includes('DepthwiseConv2dNative')) return array(node, 1).shape[2] ?? null;
    if (node.op === 'AddV2') return channelsMade(input(node, 1)) ?? channelsMade(input(node, 0));
    return node.input?.[0] === undefined ? null : channelsMade(node.input[0]);
  }

  function make(name: string): void {
    if (done.has(name) || name === picture) return;
    done.add(name);
    const node = nodes.get(name);
    if (node === undefined) throw new RangeError(`the graph has no ${name}`);
    // An activation that stands by itself belongs to the sum before it.
    if (node.op === 'Relu6') {
      const from = input(node, 0);
      const sum = nodes.get(from);
      if (sum?.op !== 'AddV2' || graph.node.filter((each) => each.input?.includes(from)).length !== 1 || wanted.includes(from)) {
        throw new RangeError(`no layer stands for ${name} (${node.op})`);
      }
      const layer = { op: 'sum', name, from: input(sum, 0), plus: input(sum, 1), activation: 'relu6' } as const;
      make(layer.from);
      make(layer.plus);
      layers.push(layer);
      return;
    }
    const layer = layerOf(node);
    make(layer.from);
    if (layer.op === 'sum') make(layer.plus);
    layers.push(layer);
  }

  wanted.forEach(make);
  return layers;
}

function input(node: GraphNode, index: number): string {
  const name = node.input?.[index];
  if (name === undefined) throw new RangeError(`${node.name} has no input ${index}`);
  return name;
}

function strideOf(node: GraphNode): number {
  const [, down, across] = numbersAttribute(node, 'strides');
  if (down === undefined || down !== across) throw new RangeError(`${node.name} has two strides`);
  return down;
}

function fusedActivation(node: GraphNode): Activation {
  const fused = textsAttribute(node, 'fused_ops').join();
  if (fused === 'BiasAdd') return 'linear';
  if (fused === 'BiasAdd,Relu6') return 'relu6';
  if (fused === 'BiasAdd,Relu') return 'relu';
  throw new RangeError(`${node.name} does ${fused} at once`);
}
