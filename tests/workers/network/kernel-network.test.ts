import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { kernelNetwork } from '../../../workers/pose/network/kernel-network.ts';
import { shapeMade, shapesOf, type Activation, type Convolution, type Depthwise, type Layer, type MapShape } from '../../../workers/pose/network/layers.ts';
import { loadKernels, type Kernels, type KernelSource } from '../../../workers/pose/network/load-kernels.ts';
import { integerWeights, type IntegerWeights } from '../../../workers/pose/network/integer-weights.ts';
import { joinLayers } from '../../../workers/pose/network/join-layers.ts';
import { orderWork } from '../../../workers/pose/network/order-work.ts';
import { placeMaps } from '../../../workers/pose/network/place-maps.ts';

const file = (build: string): Buffer => readFileSync(fileURLToPath(new URL(`../../../workers/pose/network/kernels-${build}.wasm`, import.meta.url)));
const bytes = (build: string): ArrayBuffer => Uint8Array.from(file(build)).buffer;
const sources: KernelSource = { fused: bytes('fused'), plain: bytes('plain') };

/** Kernels that multiply floats, or 16-bit integers. */
async function kernels(integers = false): Promise<Kernels> {
  const loaded = await loadKernels(sources);
  if (loaded === null) throw new Error('this Node has no SIMD');
  return { ...loaded.start(), integers };
}

/** Numbers that depend on a seed only, −1 to 1. */
function numbers(count: number, seed: number): Float32Array {
  return Float32Array.from({ length: count }, (_, i) => Math.sin(12.9898 * (i + 1) + 78.233 * (seed + 1)));
}

interface NaiveMap extends MapShape {
  at(row: number, column: number, channel: number): number;
}

function mapOf(shape: MapShape, values: ArrayLike<number>, pitch = shape.channels): NaiveMap {
  return {
    ...shape,
    at: (row, column, channel) => (row < 0 || column < 0 || row >= shape.rows || column >= shape.columns ? 0 : values[(row * shape.columns + column) * pitch + channel] as number),
  };
}

const activated = (x: number, activation: Activation): number => (activation === 'linear' ? x : Math.max(0, activation === 'relu6' ? Math.min(6, x) : x));

/** Each layer straight from its definition, one number at a time. */
function naive(layer: Layer, map: (name: string) => NaiveMap): NaiveMap {
  const from = map(layer.from);
  const shape = shapeMade(layer, map);
  const values = new Float64Array(shape.rows * shape.columns * shape.channels);
  for (let row = 0; row < shape.rows; row += 1) for (let column = 0; column < shape.columns; column += 1) for (let channel = 0; channel < shape.channels; channel += 1) {
    let x = 0;
    if (layer.op === 'convolve' || layer.op === 'depthwise') {
      x = layer.bias[channel] as number;
      const { before } = layer;
      for (let v = 0; v < layer.size; v += 1) for (let u = 0; u < layer.size; u += 1) {
        const [y, z] = [row * layer.stride - before + v, column * layer.stride - before + u];
        if (layer.op === 'depthwise') x += from.at(y, z, channel) * (layer.filter[(v * layer.size + u) * layer.channels + channel] as number);
        else for (let c = 0; c < layer.channelsIn; c += 1) x += from.at(y, z, c) * (layer.filter[((v * layer.size + u) * layer.channelsIn + c) * layer.channelsOut + channel] as number);
      }
    } else if (layer.op === 'enlarge') {
      // Centres of pixels at halves: result pixel i lies at (i + 0.5) / 2 − 0.5 of the map.
      const weigh = (i: number, last: number): readonly (readonly [number, number])[] => {
        const place = Math.max(0, Math.min(last, (i + 0.5) / 2 - 0.5));
        const low = Math.floor(place);
        return [[low, 1 - (place - low)], [Math.min(last, low + 1), place - low]];
      };
      for (const [y, a] of weigh(row, from.rows - 1)) for (const [z, b] of weigh(column, from.columns - 1)) x += a * b * from.at(y, z, channel);
    } else if (layer.op === 'largest') {
      x = Math.max(from.at(2 * row, 2 * column, channel), from.at(2 * row, 2 * column + 1, channel), from.at(2 * row + 1, 2 * column, channel), from.at(2 * row + 1, 2 * column + 1, channel));
    } else {
      x = from.at(row, column, channel);
    }
    if (layer.op !== 'depthwise' && layer.plus !== null) x += map(layer.plus).at(row, column, channel);
    values[(row * shape.columns + column) * shape.channels + channel] = activated(x, layer.activation);
  }
  return mapOf(shape, values);
}

/** A padding of a half is one of a row below and right only. */
const conv = (name: string, from: string, size: number, stride: number, padding: number, channelsIn: number, channelsOut: number, activation: Activation = 'linear', plus: string | null = null): Convolution => ({
  op: 'convolve', name, from, size, stride, before: Math.floor(padding), after: Math.ceil(padding), channelsIn, channelsOut, activation, plus,
  filter: numbers(size * size * channelsIn * channelsOut, channelsOut), bias: numbers(channelsOut, 7),
});
const depth = (name: string, from: string, size: number, stride: number, before: number, channels: number, activation: Activation = 'relu6'): Depthwise => ({
  op: 'depthwise', name, from, size, stride, before, channels, activation, filter: numbers(size * size * channels, 3), bias: numbers(channels, 5),
});

/** Runs layers both ways on a picture of `size` and gives the largest difference over the wanted maps, as a share of their largest number. */
function farthest(loaded: Kernels, size: number, layers: readonly Layer[], wanted: readonly string[]): number {
  const picture = numbers(size * size * 3, 1);
  const network = kernelNetwork(loaded, { name: 'picture', size }, layers, wanted);
  // Twice: nothing may be left over from the run before.
  network.run(numbers(size * size * 3, 2));
  const views = network.run(picture);
  const maps = new Map([['picture', mapOf({ rows: size, columns: size, channels: 3 }, picture)]]);
  const map = (name: string): NaiveMap => {
    const found = maps.get(name);
    if (found === undefined) throw new RangeError(name);
    return found;
  };
  for (const layer of layers) maps.set(layer.name, naive(layer, map));
  let worst = 0;
  let largest = 1;
  wanted.forEach((name, index) => {
    const view = views[index];
    if (view === undefined) throw new RangeError(name);
    const [got, want] = [mapOf(view, view.numbers, view.pitch), map(name)];
    expect([got.rows, got.columns, got.channels]).toEqual([want.rows, want.columns, want.channels]);
    for (let row = 0; row < got.rows; row += 1) for (let column = 0; column < got.columns; column += 1) for (let channel = 0; channel < got.channels; channel += 1) {
      worst = Math.max(worst, Math.abs(got.at(row, column, channel) - want.at(row, column, channel)));
      largest = Math.max(largest, Math.abs(want.at(row, column, channel)));
    }
  });
  return worst / largest;
}

/** What whole numbers stand for in a layer whose filter fills its panels. */
function scalesOf({ size, channelsIn, channelsOut, filter }: Convolution): Pick<IntegerWeights, 'scales' | 'largestSample'> {
  const [window, panels] = [size ** 2 * channelsIn, Math.ceil(channelsOut / 8)];
  const packed = new Float32Array(panels * 8 * (window + (window % 2)));
  for (let i = 0; i < window; i += 1) for (let channel = 0; channel < channelsOut; channel += 1) {
    packed[(Math.floor(channel / 8) * (window + (window % 2)) + i) * 8 + (channel % 8)] = filter[i * channelsOut + channel] as number;
  }
  return integerWeights(packed, panels);
}

/**
 * How far each convolution of a map is from its definition on the map that it was given, as a share of what rounding its
 * samples and weights to whole numbers may do: half a unit of each, the unit of the samples being at most what the
 * largest of the map, or of its activation, stands for.
 */
function integerErrors(loaded: Kernels, size: number, layers: readonly Layer[]): readonly number[] {
  const views = new Map(kernelNetwork(loaded, { name: 'picture', size }, layers, layers.map(({ name }) => name)).run(numbers(size * size * 3, 1)).map((view, i) => [layers[i]?.name, view]));
  const map = (name: string): NaiveMap => {
    const view = views.get(name);
    if (view === undefined) throw new RangeError(name);
    return mapOf(view, view.numbers, view.pitch);
  };
  return layers.flatMap((layer) => {
    if (layer.op !== 'convolve' || layer.from === 'picture') return [];
    const [got, want] = [map(layer.name), naive(layer, map)];
    const isBounded = layers.some(({ name, activation }) => name === layer.from && activation === 'relu6');
    const largest = isBounded ? 6 : views.get(layer.from)?.numbers.reduce((most, x) => Math.max(most, Math.abs(x)), 0) ?? Number.NaN;
    const window = layer.size ** 2 * layer.channelsIn;
    const { scales, largestSample } = scalesOf(layer);
    const ratios: number[] = [];
    for (let channel = 0; channel < got.channels; channel += 1) {
      const all = Array.from({ length: window }, (_, i) => Math.abs(layer.filter[i * layer.channelsOut + channel] as number)).reduce((sum, w) => sum + w, 0);
      const unit = scales[channel] as number;
      const allowed = (largest / largestSample / 2) * (all + (unit / 2) * window) + (unit / 2) * largest * window + ROUNDING * (1 + largest * all);
      for (let row = 0; row < got.rows; row += 1) for (let column = 0; column < got.columns; column += 1) {
        ratios.push(Math.abs(got.at(row, column, channel) - want.at(row, column, channel)) / allowed);
      }
    }
    return [Math.max(...ratios)];
  });
}

/** 32-bit rounding over the longest sums here, some hundred terms in several layers after another. */
const ROUNDING = 1e-5;

describe('kernels', () => {
  it('both builds in the repository are what their source compiles to, byte for byte', () => {
    const check = spawnSync(process.execPath, [fileURLToPath(new URL('../../../tools/build/kernels.mjs', import.meta.url)), '--check'], { encoding: 'utf8' });
    expect(check.stderr).toBe('');
    expect(check.status).toBe(0);
  }, 60_000);

  it('a browser with neither build gets none, one without relaxed SIMD the plain one', async () => {
    const broken = new ArrayBuffer(8);
    expect(await loadKernels({ fused: broken, plain: broken })).toBeNull();
    expect((await loadKernels({ ...sources, fused: broken }))?.fused).toBe(false);
  });

  it('every kind of layer gives what its definition gives, whatever the sizes', async () => {
    const activation = fc.constantFrom<Activation>('linear', 'relu', 'relu6');
    await fc.assert(fc.asyncProperty(
      fc.integer({ min: 2, max: 9 }), fc.integer({ min: 1, max: 20 }), fc.integer({ min: 1, max: 20 }), fc.constantFrom(3, 5), fc.constantFrom(1, 2), fc.constantFrom(0.5, 1), activation,
      async (half, first, second, window, stride, padding, act) => {
        const size = 4 * half;
        const layers: readonly Layer[] = [
          conv('first', 'picture', 3, 2, padding, 3, first, act),
          depth('depth', 'first', window, stride, stride === 2 && window === 3 ? 0 : (window - 1) / 2, first, act),
          conv('point', 'depth', 1, 1, 0, first, second),
          { op: 'enlarge', name: 'big', from: 'point', plus: null, activation: act },
          conv('small', 'big', 2, 2, 0, second, second, 'linear', 'point'),
          { op: 'sum', name: 'sum', from: 'small', plus: 'point', activation: act },
          { op: 'largest', name: 'largest', from: 'big', plus: 'sum', activation: 'linear' },
        ];
        expect(farthest(await kernels(), size, layers, ['first', 'sum', 'largest'])).toBeLessThan(ROUNDING);
      },
    ), { numRuns: 40 });
  });

  it('maps so large that they are handed on some rows at a time are the same', async () => {
    const layers: readonly Layer[] = [
      conv('first', 'picture', 3, 2, 0.5, 3, 9), depth('depth', 'first', 3, 1, 1, 9), conv('point', 'depth', 1, 1, 0, 9, 9), depth('half', 'point', 5, 2, 1, 9),
      conv('wide', 'half', 1, 1, 0, 9, 40), depth('wideDepth', 'wide', 5, 1, 2, 40), conv('narrow', 'wideDepth', 1, 1, 0, 40, 9, 'relu', 'half'), conv('quarter', 'narrow', 2, 2, 0, 9, 8),
    ];
    expect(farthest(await kernels(), 256, layers, ['point', 'narrow', 'quarter'])).toBeLessThan(ROUNDING);
  });

  it('by whole numbers every convolution stays within what rounding samples and weights to them can do, whatever the sizes', async () => {
    await fc.assert(fc.asyncProperty(
      fc.integer({ min: 2, max: 9 }), fc.integer({ min: 1, max: 20 }), fc.integer({ min: 1, max: 40 }), fc.constantFrom<Activation>('linear', 'relu', 'relu6'),
      async (half, first, second, act) => {
        const errors = integerErrors(await kernels(true), 4 * half, [
          conv('first', 'picture', 3, 2, 0.5, 3, first, act), conv('point', 'first', 1, 1, 0, first, second), conv('plus', 'point', 1, 1, 0, second, first, act, 'first'),
          conv('small', 'plus', 2, 2, 0, first, second, 'linear'), conv('last', 'small', half, 1, 0, second, 3),
        ]);
        expect(errors).toHaveLength(4);
        expect(Math.max(...errors)).toBeLessThan(1);
      },
    ), { numRuns: 30 });
  });

  it('sums of whole numbers never leave 32 bits, even where all samples and all weights are as large as they come', async () => {
    const full = (count: number, value: number): Float32Array => new Float32Array(count).fill(value);
    // 4 × 1152 numbers in a window are more than any model here has; as many equal weights are 170 each or more, rounded by at most a half.
    const first: Layer = { ...conv('first', 'picture', 3, 2, 0.5, 3, 1152, 'relu6'), filter: full(27 * 1152, 0), bias: full(1152, 7) };
    for (const sign of [1, -1]) {
      const last: Layer = { ...conv('last', 'first', 2, 1, 0, 1152, 3), filter: full(4 * 1152 * 3, 0.37 * sign), bias: full(3, 0) };
      const [view] = kernelNetwork(await kernels(true), { name: 'picture', size: 4 }, [first, last], ['last']).run(numbers(48, 1));
      const want = 4 * 1152 * 6 * 0.37 * sign;
      for (const got of view?.numbers.subarray(0, 3) ?? []) expect(Math.abs(got / want - 1)).toBeLessThan(0.5 / 170);
    }
  });

  it('a map of zeros, and weights of zero, make the bias', async () => {
    const zeros: Layer = { ...conv('zeros', 'picture', 3, 2, 0.5, 3, 8), filter: new Float32Array(27 * 8), bias: new Float32Array(8) };
    const point = conv('point', 'zeros', 1, 1, 0, 8, 8);
    const none: Layer = { ...conv('none', 'point', 1, 1, 0, 8, 8), filter: new Float32Array(64) };
    const views = kernelNetwork(await kernels(true), { name: 'picture', size: 4 }, [zeros, point, none], ['point', 'none']).run(numbers(48, 1));
    for (const view of views) expect([...view.numbers]).toEqual(Array.from({ length: 4 }, () => [...point.bias]).flat());
  });

  it('whole numbers are chosen on processors of the x86 family alone', async () => {
    const loaded = await loadKernels(sources);
    expect(loaded?.start().integers).toBe(['x64', 'ia32'].includes(process.arch));
  });

  it('windows without stride over a map of their own size make one pixel, as the last layers of the model do', async () => {
    const layers = [conv('first', 'picture', 3, 2, 1, 3, 10), conv('last', 'first', 4, 1, 0, 10, 195)];
    expect(farthest(await kernels(), 8, layers, ['last'])).toBeLessThan(ROUNDING);
  });

  it('a layer that does not fit is refused before anything runs', async () => {
    const loaded = await kernels();
    const input = { name: 'picture', size: 8 };
    const first = conv('first', 'picture', 3, 2, 1, 3, 8);
    expect(() => kernelNetwork(loaded, input, [first, conv('next', 'first', 1, 1, 0, 9, 8)], ['next'])).toThrow(RangeError);
    expect(() => kernelNetwork(loaded, input, [first, conv('next', 'first', 3, 1, 1, 8, 8)], ['next'])).toThrow(RangeError);
    expect(() => kernelNetwork(loaded, input, [{ op: 'sum', name: 'sum', from: 'first', plus: 'first', activation: 'linear' }], ['sum'])).toThrow(RangeError);
    expect(() => kernelNetwork(loaded, input, [first], ['first']).run(new Float32Array(3))).toThrow(RangeError);
  });
});

describe('sums done by the layer before', () => {
  const first = conv('first', 'picture', 3, 2, 1, 3, 8);
  const sum: Layer = { op: 'sum', name: 'sum', from: 'point', plus: 'first', activation: 'relu' };

  it('a convolution that only the sum reads takes it over, with its activation', () => {
    const joined = joinLayers([first, conv('point', 'first', 1, 1, 0, 8, 8), sum], ['sum']);
    expect(joined.map(({ name, op }) => [name, op])).toEqual([['first', 'convolve'], ['sum', 'convolve']]);
    expect(joined[1]).toMatchObject({ from: 'first', plus: 'first', activation: 'relu' });
  });

  it('it stays where the map is wanted, read elsewhere, or has an activation of its own', () => {
    const point = conv('point', 'first', 1, 1, 0, 8, 8);
    expect(joinLayers([first, point, sum], ['sum', 'point'])).toHaveLength(3);
    expect(joinLayers([first, point, sum, depth('other', 'point', 3, 1, 1, 8)], ['sum', 'other'])).toHaveLength(4);
    expect(joinLayers([first, { ...point, activation: 'relu' }, sum], ['sum'])).toHaveLength(3);
  });
});

describe('the order of work', () => {
  /** Layers on a picture of 256 × 256, each reading the one before. */
  const chain = fc.array(fc.record({ size: fc.constantFrom(1, 2, 3, 5), stride: fc.constantFrom(1, 2), channels: fc.constantFrom(8, 24, 64) }), { minLength: 1, maxLength: 6 })
    .map((kinds) => {
      const layers: Layer[] = [conv('0', 'picture', 3, 2, 0.5, 3, 16)];
      let channels = 16;
      for (const { size, stride, channels: wide } of kinds) {
        const [name, from] = [String(layers.length), String(layers.length - 1)];
        if (size < 3) {
          layers.push(conv(name, from, size, size, 0, channels, wide));
          channels = wide;
        } else layers.push(depth(name, from, size, stride, stride === 2 && size === 3 ? 0 : (size - 1) / 2, channels));
      }
      return layers;
    });

  it('makes every row of every map once, none before the rows that it reads, and gives up none that is still read', () => {
    fc.assert(fc.property(chain, (layers) => {
      const shapes = shapesOf(layers, { name: 'picture', size: 256 });
      const rows = (name: string): number => shapes.get(name)?.rows ?? Number.NaN;
      const made = layers.map(() => 0);
      const kept = layers.map(() => 0);
      const wanted = [String(layers.length - 1)];
      const { portions, rowsHeld } = orderWork(layers, (name) => shapes.get(name) as MapShape, (name) => rows(name) ** 2 * (shapes.get(name)?.channels ?? 0) * 4, wanted);
      for (const { layer: place, from, end, keptFrom } of portions) {
        expect(from).toBe(made[place]);
        expect(end).toBeGreaterThan(from);
        expect(keptFrom).toBeGreaterThanOrEqual(kept[place] ?? Number.NaN);
        expect(keptFrom).toBeLessThanOrEqual(from);
        expect(end - keptFrom).toBeLessThanOrEqual(rowsHeld[place] ?? Number.NaN);
        made[place] = end;
        kept[place] = keptFrom;
        const layer = layers[place];
        if (place === 0 || layer === undefined || !('stride' in layer)) continue;
        const read = Math.min(rows(layer.from), (end - 1) * layer.stride - layer.before + layer.size);
        expect(made[place - 1]).toBeGreaterThanOrEqual(read);
        expect(kept[place - 1]).toBeLessThanOrEqual(Math.max(0, from * layer.stride - layer.before));
      }
      expect(kept.at(-1)).toBe(0);
      expect(made).toEqual(layers.map(({ name }) => rows(name)));
    }), { numRuns: 200 });
  });

  it('hands on a map of half a mebibyte in turns, a smaller one whole', () => {
    const layers = [conv('large', 'picture', 3, 2, 0.5, 3, 8), depth('small', 'large', 3, 2, 0, 8), conv('last', 'small', 1, 1, 0, 8, 8)];
    const shapes = shapesOf(layers, { name: 'picture', size: 256 });
    const order = (bytes: number, wanted: readonly string[] = ['last']): ReturnType<typeof orderWork> => (
      orderWork(layers, (name) => shapes.get(name) as MapShape, (name) => (name === 'large' ? bytes : 1000), wanted));
    expect(order(2 ** 19).stages).toEqual([0, 0, 1]);
    expect(order(2 ** 19).portions.map(({ layer }) => layer)).toEqual([0, 1, 0, 1, 2]);
    // Of 128 rows 65 make the first half of the small map; the last of them is read once more, with the other 63.
    expect(order(2 ** 19).rowsHeld).toEqual([65, 64, 64]);
    expect(order(2 ** 19, ['large', 'last']).rowsHeld).toEqual([128, 64, 64]);
    expect(order(2 ** 19 - 1)).toEqual({
      stages: [0, 1, 2], portions: [128, 64, 64].map((end, layer) => ({ layer, from: 0, end, keptFrom: 0 })), rowsHeld: [128, 64, 64],
    });
  });
});

describe('places of maps', () => {
  it('no two maps that are needed in one stage overlap, and fewer bytes are used than all maps hold', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 3, maxLength: 20 }), fc.integer({ min: 1, max: 3 }), (sizes, together) => {
      // Each layer reads the map before and, every third, the one two before.
      const layers = sizes.map((_, i): Layer => ({ op: 'sum', name: `m${i}`, from: `m${i - 1}`, plus: i % 3 === 0 ? `m${i - 2}` : `m${i - 1}`, activation: 'linear' }));
      const kept = [`m${sizes.length - 1}`, 'm1'];
      const stages = sizes.map((_, i) => Math.floor(i / together));
      const { places, bytes: all } = placeMaps(layers, stages, (name) => (sizes[Number(name.slice(1))] ?? 0) * 64, kept);
      const lastRead = (i: number): number => (kept.includes(`m${i}`) ? sizes.length : layers.reduce((last, layer, step) => (layer.from === `m${i}` || ('plus' in layer && layer.plus === `m${i}`) ? step : last), i));
      sizes.forEach((size, i) => {
        const at = places.get(`m${i}`) ?? -1;
        expect(at).toBeGreaterThanOrEqual(0);
        expect(at + size * 64).toBeLessThanOrEqual(all);
        const lastStage = stages[lastRead(i)] ?? Infinity;
        for (let j = i + 1; j < sizes.length && (stages[j] ?? 0) <= lastStage; j += 1) {
          const other = places.get(`m${j}`) ?? -1;
          expect(other >= at + size * 64 || other + (sizes[j] ?? 0) * 64 <= at).toBe(true);
        }
      });
      expect(all).toBeLessThanOrEqual(sizes.reduce((sum, size) => sum + size * 64, 0));
    }));
  });
});
