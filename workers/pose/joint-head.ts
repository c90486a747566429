import type { Activation, Layer } from './network/layers.ts';
import { modelFiles, type ModelSource } from './network/stored-model.ts';
import { floatsFromHalves } from './network/stored-weights.ts';
import type { JointMapLayout } from './read-joints.ts';

/** A small network on the landmark model's own feature maps that gives joint centres (docs/joint-head.md). */
export interface JointHead {
  /** Id that it adds to the landmark model's in tracks, e.g. "joint-head-1". */
  readonly id: string;
  /** Nodes of the landmark graph that it reads. */
  readonly taps: readonly string[];
  /** What the maps hold. */
  readonly layout: JointMapLayout;
  /** Its layers, from the tapped maps to the map JOINT_MAPS of 64 × 64 × channels (heat, log spread, limbs). */
  readonly layers: readonly Layer[];
}

/** Name of the map that the head makes. */
export const JOINT_MAPS = 'head/out';

interface LayerEntry {
  readonly name: string;
  readonly shape: readonly number[];
  readonly offset: number;
}

interface HeadFile extends JointMapLayout {
  readonly id: string;
  readonly taps: readonly string[];
  readonly tapChannels: readonly number[];
  readonly config: { readonly b16: number; readonly b32: number; readonly b64: number };
  readonly layers: readonly LayerEntry[];
}

/** Reads the joint head. Rejects when a file cannot be read, throws RangeError when it does not hold what it says. */
export async function loadJointHead(source: ModelSource): Promise<JointHead> {
  const [json, bytes] = await modelFiles(source);
  const file = json as HeadFile;
  return {
    id: file.id,
    taps: file.taps,
    layout: { joints: file.joints, limbs: file.limbs, limbUnitPx: file.limbUnitPx, spreadFactors: file.spreadFactors },
    layers: headLayers(file, bytes),
  };
}

function headLayers(file: HeadFile, bytes: ArrayBuffer): readonly Layer[] {
  const layers: Layer[] = [];
  const [deep8, deep16, early16, deep32, early32, deep64, early64, early128] = file.taps.map((name, index) => ({ name, channels: file.tapChannels[index] ?? 0 }));
  if (deep8 === undefined || deep16 === undefined || early16 === undefined || deep32 === undefined || early32 === undefined
    || deep64 === undefined || early64 === undefined || early128 === undefined) {
    throw new RangeError(`the joint head reads 8 feature maps, got ${file.taps.length}`);
  }

  function stored(name: string): { readonly shape: readonly number[]; readonly values: Float32Array } {
    const entry = file.layers.find((each) => each.name === name);
    if (entry === undefined) throw new RangeError(`the joint head has no ${name}`);
    const count = entry.shape.reduce((product, side) => product * side, 1);
    if (entry.offset + 2 * count > bytes.byteLength) throw new RangeError(`the weights end before ${name}`);
    return { shape: entry.shape, values: floatsFromHalves(new Uint16Array(bytes.slice(entry.offset, entry.offset + 2 * count))) };
  }
  /** A convolution of one map, with a stride as long as its window. */
  function point(from: string, name: string, activation: Activation = 'linear'): string {
    const { shape: [size = 0, , channelsIn = 0, channelsOut = 0], values: filter } = stored(`${name}/weight`);
    const made = `head/${name}`;
    layers.push({
      op: 'convolve', name: made, from, size, stride: size, before: 0, after: 0, channelsIn, channelsOut,
      filter, bias: stored(`${name}/bias`).values, activation, plus: null,
    });
    return made;
  }
  /** The same of two maps whose channels would lie side by side: what the first gives is added to what the second gives. */
  function pointOfBoth(first: { name: string; channels: number }, second: { name: string; channels: number }, name: string): string {
    const { shape: [size, , channelsIn, channelsOut = 0], values: filter } = stored(`${name}/weight`);
    if (size !== 1 || channelsIn !== first.channels + second.channels) throw new RangeError(`${name} does not fit its maps`);
    const cut = first.channels * channelsOut;
    const shared = { op: 'convolve', size: 1, stride: 1, before: 0, after: 0, channelsOut, activation: 'linear' } as const;
    layers.push({
      ...shared, name: `head/${name}/first`, from: first.name, channelsIn: first.channels, filter: filter.slice(0, cut), bias: stored(`${name}/bias`).values, plus: null,
    }, {
      ...shared, name: `head/${name}`, from: second.name, channelsIn: second.channels, filter: filter.slice(cut), bias: new Float32Array(channelsOut), plus: `head/${name}/first`,
    });
    return `head/${name}`;
  }
  function sum(a: string, b: string, name: string, activation: Activation): string {
    layers.push({ op: 'sum', name, from: a, plus: b, activation });
    return name;
  }
  function doubled(from: string): string {
    const name = `${from}/doubled`;
    layers.push({ op: 'enlarge', name, from, plus: null, activation: 'linear' });
    return name;
  }
  function blocks(from: string, level: string, count: number): string {
    let x = from;
    for (let index = 0; index < count; index += 1) {
      const name = `${level}/${index}`;
      const { shape: [size = 0, , channels = 0], values: filter } = stored(`${name}/depth/weight`);
      layers.push({
        op: 'depthwise', name: `head/${name}/depth`, from: x, size, stride: 1, before: (size - 1) / 2, channels,
        filter, bias: stored(`${name}/depth/bias`).values, activation: 'linear',
      });
      x = sum(x, point(`head/${name}/depth`, `${name}/point`), `head/${name}`, 'relu');
    }
    return x;
  }

  let x = sum(doubled(point(deep8.name, 'in8', 'relu')), pointOfBoth(deep16, early16, 'in16'), 'head/16', 'relu');
  x = blocks(x, 'm16', file.config.b16);
  x = sum(doubled(point(x, 'up32')), pointOfBoth(deep32, early32, 'in32'), 'head/32', 'relu');
  x = blocks(x, 'm32', file.config.b32);
  const fine = sum(pointOfBoth(deep64, early64, 'in64'), point(early128.name, 'fine'), 'head/fine+', 'linear');
  x = sum(doubled(point(x, 'up64')), fine, 'head/64', 'relu');
  x = blocks(x, 'm64', file.config.b64);
  point(x, 'out');
  return layers;
}
