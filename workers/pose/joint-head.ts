import { add, concat, dispose, fused, image, relu, tensor, tidy } from '@tensorflow/tfjs-core';
import type { Tensor, Tensor4D } from '@tensorflow/tfjs-core';
import type { JointMapLayout } from './read-joints.ts';

/** Where the head's description and weights come from: two addresses of our own origin, or the files themselves. */
export type JointHeadSource =
  | { readonly modelUrl: string; readonly weightsUrl: string }
  | { readonly json: unknown; readonly weights: ArrayBuffer };

/** A small network on the landmark model's own feature maps that gives joint centres (docs/joint-head.md). */
export interface JointHead {
  /** Id that it adds to the landmark model's in tracks, e.g. "joint-head-1". */
  readonly id: string;
  /** Nodes of the landmark graph that it reads, in order. */
  readonly taps: readonly string[];
  /** What the maps hold. */
  readonly layout: JointMapLayout;
  /** Maps [1, 64, 64, channels] (heat, log spread, limbs) from the tapped features; the caller disposes of them. */
  maps(features: readonly Tensor[]): Tensor4D;
  /** Frees the weights. */
  dispose(): void;
}

interface LayerEntry {
  readonly name: string;
  readonly shape: readonly number[];
  readonly offset: number;
}

interface HeadFile extends JointMapLayout {
  readonly id: string;
  readonly taps: readonly string[];
  readonly config: { readonly b16: number; readonly b32: number; readonly b64: number };
  readonly layers: readonly LayerEntry[];
}

/** Loads the joint head for the backend that is set. Rejects when a file cannot be read. */
export async function loadJointHead(source: JointHeadSource): Promise<JointHead> {
  const [json, bytes] = 'json' in source
    ? [source.json, source.weights]
    : await Promise.all([
      fetchOk(source.modelUrl).then((response) => response.json() as Promise<unknown>),
      fetchOk(source.weightsUrl).then((response) => response.arrayBuffer()),
    ]);
  const file = json as HeadFile;
  const weights = new Map<string, Tensor>();
  for (const { name, shape, offset } of file.layers) {
    const count = shape.reduce((product, side) => product * side, 1);
    if (offset + 2 * count > bytes.byteLength) throw new RangeError(`the weights end before ${name}`);
    weights.set(name, tensor(floatsFromHalves(new Uint16Array(bytes.slice(offset, offset + 2 * count))), [...shape], 'float32'));
  }

  function weight(name: string): Tensor {
    const found = weights.get(name);
    if (found === undefined) throw new RangeError(`the joint head has no ${name}`);
    return found;
  }
  function point(x: Tensor4D, name: string, active: boolean): Tensor4D {
    const filter = weight(`${name}/weight`) as Tensor4D;
    return fused.conv2d({
      x, filter, strides: filter.shape[0], pad: 'valid', bias: weight(`${name}/bias`), activation: active ? 'relu' : 'linear',
    });
  }
  function block(x: Tensor4D, name: string): Tensor4D {
    const depth = fused.depthwiseConv2d({
      x, filter: weight(`${name}/depth/weight`) as Tensor4D, strides: 1, pad: 'same', bias: weight(`${name}/depth/bias`), activation: 'linear',
    });
    return relu(add(x, point(depth, `${name}/point`, false)));
  }
  function blocks(x: Tensor4D, level: string, count: number): Tensor4D {
    let result = x;
    for (let index = 0; index < count; index += 1) result = block(result, `${level}/${index}`);
    return result;
  }
  function doubled(x: Tensor4D): Tensor4D {
    return image.resizeBilinear(x, [x.shape[1] * 2, x.shape[2] * 2], false, true);
  }
  const joined = (a: Tensor4D, b: Tensor4D): Tensor4D => concat<Tensor4D>([a, b], 3);

  return {
    id: file.id,
    taps: file.taps,
    layout: { joints: file.joints, limbs: file.limbs, limbUnitPx: file.limbUnitPx, spreadFactors: file.spreadFactors },
    maps: (features) => tidy(() => {
      const [deep8, deep16, early16, deep32, early32, deep64, early64, early128] = features as Tensor4D[];
      if (deep8 === undefined || deep16 === undefined || early16 === undefined || deep32 === undefined || early32 === undefined
        || deep64 === undefined || early64 === undefined || early128 === undefined) {
        throw new RangeError(`the joint head reads 8 feature maps, got ${features.length}`);
      }
      let x: Tensor4D = relu(add(doubled(point(deep8, 'in8', true)), point(joined(deep16, early16), 'in16', false)));
      x = blocks(x, 'm16', file.config.b16);
      x = relu(add(doubled(point(x, 'up32', false)), point(joined(deep32, early32), 'in32', false)));
      x = blocks(x, 'm32', file.config.b32);
      const fine = add(point(joined(deep64, early64), 'in64', false), point(early128, 'fine', false));
      x = relu(add(doubled(point(x, 'up64', false)), fine));
      x = blocks(x, 'm64', file.config.b64);
      return point(x, 'out', false);
    }),
    dispose: () => { dispose([...weights.values()]); },
  };
}

/** 32-bit numbers from IEEE 754 half-precision ones. */
function floatsFromHalves(halves: Uint16Array): Float32Array {
  return Float32Array.from(halves, (half) => {
    const sign = half & 0x8000 ? -1 : 1;
    const exponent = (half >> 10) & 0x1f;
    const fraction = half & 0x3ff;
    if (exponent === 0) return sign * fraction * 2 ** -24;
    if (exponent === 31) return fraction === 0 ? sign * Infinity : Number.NaN;
    return sign * (1 + fraction / 1024) * 2 ** (exponent - 15);
  });
}

async function fetchOk(url: string): Promise<Response> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${response.status}`);
  return response;
}
