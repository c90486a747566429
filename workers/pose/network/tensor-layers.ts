import { add, dispose, fused, image, maxPool, relu, relu6, tensor1d, tensor4d } from '@tensorflow/tfjs-core';
import type { Tensor4D } from '@tensorflow/tfjs-core';
import type { Activation, Layer } from './layers.ts';

/** Layers on tensors, for whatever backend of the tensor library runs. */
export interface TensorLayers {
  /** Runs all layers on the maps by name, each [1, rows, columns, channels], and gives the last one's map. Call it within a tidy. */
  run(maps: ReadonlyMap<string, Tensor4D>): Tensor4D;
  /** Frees the weights. */
  dispose(): void;
}

/** Puts the weights of the layers where the backend that runs wants them. */
export function tensorLayers(layers: readonly Layer[]): TensorLayers {
  const weights = new Map(layers.flatMap((layer) => {
    if (layer.op === 'convolve') return [[layer.name, { filter: tensor4d(layer.filter, [layer.size, layer.size, layer.channelsIn, layer.channelsOut]), bias: tensor1d(layer.bias) }] as const];
    if (layer.op === 'depthwise') return [[layer.name, { filter: tensor4d(layer.filter, [layer.size, layer.size, layer.channels, 1]), bias: tensor1d(layer.bias) }] as const];
    return [];
  }));
  return {
    run(given) {
      const maps = new Map(given);
      const map = (name: string): Tensor4D => {
        const found = maps.get(name);
        if (found === undefined) throw new RangeError(`no map ${name}`);
        return found;
      };
      let last: Tensor4D | undefined;
      for (const layer of layers) {
        const made = layer.op === 'sum' ? map(layer.from) : withoutSum(layer, map(layer.from));
        if (layer.op !== 'depthwise' && layer.plus !== null) last = activated(add<Tensor4D>(made, map(layer.plus)), layer.activation);
        else last = layer.op === 'enlarge' || layer.op === 'largest' ? activated(made, layer.activation) : made;
        maps.set(layer.name, last);
      }
      if (last === undefined) throw new RangeError('no layers');
      return last;
    },
    dispose: () => { dispose([...weights.values()].flatMap(({ filter, bias }) => [filter, bias])); },
  };

  /** The layer without the map that it adds; a convolution that adds none does its activation too. */
  function withoutSum(layer: Exclude<Layer, { op: 'sum' }>, x: Tensor4D): Tensor4D {
    if (layer.op === 'enlarge') return image.resizeBilinear(x, [x.shape[1] * 2, x.shape[2] * 2], false, true);
    if (layer.op === 'largest') return maxPool(x, 2, 2, 'valid');
    const { filter, bias } = weights.get(layer.name) ?? {};
    if (filter === undefined || bias === undefined) throw new RangeError(`no weights for ${layer.name}`);
    if (layer.op === 'convolve') {
      if (layer.before + layer.after !== 0) throw new RangeError(`${layer.name} has zeros around`);
      return fused.conv2d({ x, filter, bias, strides: layer.stride, pad: 'valid', activation: layer.plus === null ? layer.activation : 'linear' });
    }
    if (layer.stride !== 1) throw new RangeError(`${layer.name} has a stride`);
    return fused.depthwiseConv2d({ x, filter, bias, strides: 1, pad: 'same', activation: layer.activation });
  }
}

function activated(x: Tensor4D, activation: Activation): Tensor4D {
  if (activation === 'relu') return relu(x);
  return activation === 'relu6' ? relu6(x) : x;
}
