import { GROUP, INTEGER_BLOCK_BYTES, INTEGER_BYTES, integerWeights } from './integer-weights.ts';
import { joinLayers } from './join-layers.ts';
import { shapesOf, type Activation, type Convolution, type Depthwise, type Layer, type MapShape } from './layers.ts';
import { growTo, type Kernels } from './load-kernels.ts';
import { orderWork } from './order-work.ts';
import { placeMaps } from './place-maps.ts';

/** A map that a network made. The numbers lie in the network's own memory: they hold until it runs again. */
export interface MapView extends MapShape {
  /** rows × columns × pitch numbers. */
  readonly numbers: Float32Array;
  /** Numbers from one pixel to the next; the first `channels` of them count. */
  readonly pitch: number;
}

/** A network laid out in memory, ready to run. */
export interface KernelNetwork {
  /** Bytes of weights and maps. */
  readonly bytes: number;
  /** Runs it on a picture of size × size × 3 numbers and gives the wanted maps, in the order they were asked for. */
  run(picture: Float32Array): readonly MapView[];
}

/** The picture that a network reads: square, three channels. */
export interface PictureInput {
  readonly name: string;
  readonly size: number;
}

const FLOAT_BYTES = 4;
/** The kernels use no memory of their own; the lowest addresses stay free so that 0 can mean "none". */
const FIRST_BYTE = 64;

/** Least and largest number that an activation lets through. */
const LIMITS: Readonly<Record<Activation, readonly [number, number]>> = {
  linear: [-Infinity, Infinity], relu: [0, Infinity], relu6: [0, 6],
};

/**
 * Lays out a network in the kernels' memory. Only a convolution with a stride and zeros around may read the picture.
 * Throws RangeError for layers that the kernels cannot do.
 */
export function kernelNetwork(kernels: Kernels, input: PictureInput, stored: readonly Layer[], wanted: readonly string[]): KernelNetwork {
  const layers = joinLayers(stored, wanted);
  const shapes = shapesOf(layers, input);
  const shapeOf = (name: string): MapShape => {
    const shape = shapes.get(name);
    if (shape === undefined) throw new RangeError(`no layer made ${name}`);
    return shape;
  };
  const pitchOf = ({ channels }: MapShape): number => Math.ceil(channels / GROUP) * GROUP;
  const bytesOf = (shape: MapShape): number => shape.rows * shape.columns * pitchOf(shape) * FLOAT_BYTES;

  let end = FIRST_BYTE;
  const filled: { readonly at: number; readonly numbers: Float32Array | Int16Array }[] = [];
  const reserve = (bytes: number): number => {
    const at = end;
    end += Math.ceil(bytes / FIRST_BYTE) * FIRST_BYTE;
    return at;
  };
  const put = (numbers: Float32Array | Int16Array): number => {
    const at = reserve(numbers.byteLength);
    filled.push({ at, numbers });
    return at;
  };

  const around = pictureAround(layers, input.name);
  const side = input.size + 2 * around;
  const pictureAt = reserve(side * side * 3 * FLOAT_BYTES);
  const bandAt = reserve(Math.max(0, ...layers.map((layer) => (layer.op === 'depthwise' ? bandBytes(layer, shapeOf(layer.from).columns, shapeOf(layer.name).columns) : 0))));
  const integersAt = kernels.integers ? reserve(Math.max(INTEGER_BLOCK_BYTES, ...layers.map((layer) => (layer.op === 'convolve' ? fourWindowsBytes(layer) : 0)))) : 0;
  const lineOf = (name: string): number => bytesOf({ ...shapeOf(name), rows: 1 });
  const { portions, stages, rowsHeld } = orderWork(layers, shapeOf, (name) => bytesOf(shapeOf(name)), wanted);
  const names = layers.map(({ name }) => name);
  const { places, bytes: mapBytes } = placeMaps(layers, stages, (name) => lineOf(name) * (rowsHeld[names.indexOf(name)] as number), wanted);
  const mapsAt = reserve(mapBytes);
  /** The first row of each map that has a place, as the work is laid out. */
  const firstRows = new Map<string, number>();
  /** Where row 0 of a map lies, or would lie if it still had a place. */
  const at = (name: string): number => {
    const place = places.get(name);
    if (place === undefined) throw new RangeError(`${name} has no place`);
    return mapsAt + place - (firstRows.get(name) ?? 0) * lineOf(name);
  };

  /** The largest magnitude in a map where its activation sets one, else 0. */
  const bounds = new Map(layers.map(({ name, activation }) => [name, activation === 'relu6' ? LIMITS.relu6[1] : 0]));

  // Each gives the call that makes some rows of its map; those of layers that are never made in portions make all. A call
  // holds numbers alone: one that named its layer would keep the filter, which lies in the memory already.
  const steps = layers.map((layer): ((from: number, end: number) => () => void) => {
    const { from: fromName, name } = layer;
    const from = shapeOf(fromName);
    const made = shapeOf(name);
    const [low, high] = LIMITS[layer.activation];
    const pitchBytes = pitchOf(from) * FLOAT_BYTES;
    const lineBytes = from.columns * pitchBytes;
    const madeLine = made.columns * pitchOf(made) * FLOAT_BYTES;
    if (layer.op === 'depthwise') {
      const weights = put(depthwiseWeights(layer, pitchOf(from)));
      const bias = put(filledUp(layer.bias, pitchOf(from)));
      const { size, stride, before } = layer;
      return (first, end) => kernels.depthwise.bind(
        null, at(fromName), from.rows, from.columns, pitchBytes, size, stride, before, weights, bias, at(name), first, end, made.columns, bandAt, low, high,
      );
    }
    const { plus: plusName } = layer;
    const plus = (row = 0): number => (plusName === null ? 0 : at(plusName) + row * madeLine);
    if (layer.op === 'convolve') {
      const { size, stride } = layer;
      const ofPicture = fromName === input.name;
      if (!ofPicture && layer.before + layer.after !== 0) throw new RangeError(`no kernel for ${name}: zeros around a map`);
      const panels = pitchOf(made) / GROUP;
      const bias = put(filledUp(layer.bias, pitchOf(made)));
      const packed = convolutionWeights(layer, ofPicture ? 3 : pitchOf(from), pitchOf(made));
      if (ofPicture) {
        const weights = put(packed);
        const line = side * 3 * FLOAT_BYTES;
        const corner = pictureAt + (around - layer.before) * (line + 3 * FLOAT_BYTES);
        return (first, end) => kernels.convolve.bind(
          null, end - first, made.columns, corner + first * stride * line, stride * line, stride * 3 * FLOAT_BYTES, size, size * 3 * FLOAT_BYTES, line,
          weights, bias, panels, at(name) + first * madeLine, plus(first), low, high,
        );
      }
      // A 1 × 1 window needs no rows: all pixels lie in one.
      const isPoint = size === 1 && stride === 1;
      const windows = (first: number, end: number): readonly [number, number, number, number, number, number, number, number] => (isPoint
        ? [1, (end - first) * made.columns, at(fromName) + first * lineBytes, 0, pitchBytes, 1, pitchBytes, 0]
        : [end - first, made.columns, at(fromName) + first * stride * lineBytes, stride * lineBytes, stride * pitchBytes, size, size * pitchBytes, lineBytes]);
      if (kernels.integers) {
        const { numbers, scales, largestSample } = integerWeights(packed, panels);
        const [weights, units] = [put(numbers), put(scales)];
        const largest = bounds.get(fromName) ?? 0;
        return (first, end) => kernels.convolveIntegers.bind(
          null, ...windows(first, end), weights, units, bias, panels, at(name) + first * madeLine, plus(first), low, high, largest, largestSample, integersAt,
        );
      }
      const weights = put(packed);
      return (first, end) => kernels.convolve.bind(null, ...windows(first, end), weights, bias, panels, at(name) + first * madeLine, plus(first), low, high);
    }
    if (layer.op === 'sum') return () => kernels.sum.bind(null, at(fromName), plus(), bytesOf(made), at(name), low, high);
    const { op } = layer;
    return () => kernels[op].bind(null, at(fromName), from.rows, from.columns, pitchBytes, at(name), plus(), low, high);
  });

  const { memory } = kernels;
  growTo(memory, end);
  for (const { at: place, numbers } of filled) new Uint8Array(memory.buffer, place, numbers.byteLength).set(new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength));
  // Held by the functions above as long as the network itself.
  filled.length = 0;
  const bytes = new Uint8Array(memory.buffer);
  const work = portions.flatMap(({ layer, from, end: endRow, keptFrom }) => {
    const [name, step] = [names[layer] as string, steps[layer] as (typeof steps)[number]];
    const line = lineOf(name);
    const keptAt = at(name) + keptFrom * line;
    firstRows.set(name, keptFrom);
    // Rows that are still read move to where those lay that are not.
    const place = at(name) + keptFrom * line;
    const isMoved = place !== keptAt && from > keptFrom;
    return [...(isMoved ? [bytes.copyWithin.bind(bytes, place, keptAt, keptAt + (from - keptFrom) * line)] : []), step(from, endRow)];
  });
  const picture = new Float32Array(memory.buffer, pictureAt, side * side * 3);
  const views = wanted.map((name): MapView => {
    const shape = shapeOf(name);
    return { ...shape, pitch: pitchOf(shape), numbers: new Float32Array(memory.buffer, at(name), bytesOf(shape) / FLOAT_BYTES) };
  });
  const line = input.size * 3;
  return {
    bytes: memory.buffer.byteLength,
    run(pixels) {
      if (pixels.length !== line * input.size) throw new RangeError(`the picture needs ${line * input.size} numbers, got ${pixels.length}`);
      for (let row = 0; row < input.size; row += 1) picture.set(pixels.subarray(row * line, (row + 1) * line), ((row + around) * side + around) * 3);
      for (const make of work) make();
      return views;
    },
  };
}

/** Rows of zeros that the layers want around the picture. */
function pictureAround(layers: readonly Layer[], name: string): number {
  let around = 0;
  for (const layer of layers) {
    if (layer.from !== name) continue;
    if (layer.op !== 'convolve') throw new RangeError(`no kernel for ${layer.name}: it reads the picture`);
    around = Math.max(around, layer.before, layer.after);
  }
  return around;
}

/** Room for the rows of eight channels that a window spans, zeros beside them included. */
function bandBytes({ size, stride, before }: Depthwise, columns: number, made: number): number {
  return size * Math.max((made - 1) * stride + size, before + columns) * GROUP * FLOAT_BYTES;
}

/** Room for the windows of four pixels as whole numbers. */
function fourWindowsBytes({ size, channelsIn }: Convolution): number {
  return 4 * size * size * Math.ceil(channelsIn / GROUP) * GROUP * INTEGER_BYTES;
}

/** Weights by panel of eight channels made, then by number of the window. */
function convolutionWeights({ size, channelsIn, channelsOut, filter }: Convolution, pitchIn: number, pitchOut: number): Float32Array {
  const packed = new Float32Array(size * size * pitchIn * pitchOut);
  const panelNumbers = size * size * pitchIn * GROUP;
  let from = 0;
  for (let place = 0; place < size * size; place += 1) {
    for (let read = 0; read < channelsIn; read += 1) {
      const line = (place * pitchIn + read) * GROUP;
      for (let panel = 0; panel * GROUP < channelsOut; panel += 1) {
        const count = Math.min(GROUP, channelsOut - panel * GROUP);
        for (let i = 0; i < count; i += 1) packed[panel * panelNumbers + line + i] = filter[from + i] as number;
        from += count;
      }
    }
  }
  return packed;
}

/** Weights by group of eight channels, then by place in the window. */
function depthwiseWeights({ size, channels, filter }: Depthwise, pitch: number): Float32Array {
  const packed = new Float32Array(size * size * pitch);
  for (let place = 0; place < size * size; place += 1) {
    for (let channel = 0; channel < channels; channel += 1) {
      const group = Math.floor(channel / GROUP);
      packed[(group * size * size + place) * GROUP + (channel % GROUP)] = filter[place * channels + channel] as number;
    }
  }
  return packed;
}

function filledUp(numbers: Float32Array, length: number): Float32Array {
  const longer = new Float32Array(length);
  longer.set(numbers);
  return longer;
}
