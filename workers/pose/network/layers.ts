/** What is done to a layer's sums: nothing, negatives to 0, or that and anything above 6 to 6. */
export type Activation = 'linear' | 'relu' | 'relu6';

/** Rows, columns and channels of a map of numbers. */
export interface MapShape {
  readonly rows: number;
  readonly columns: number;
  readonly channels: number;
}

interface Result {
  /** Name of the map that the layer makes. */
  readonly name: string;
  readonly activation: Activation;
}

/** A convolution over all channels; a bias for each channel that it makes. */
export interface Convolution extends Result {
  readonly op: 'convolve';
  readonly from: string;
  /** Height and width of the window. */
  readonly size: number;
  readonly stride: number;
  /** Rows of zeros above and columns of zeros left of the map, and those below and right. */
  readonly before: number;
  readonly after: number;
  readonly channelsIn: number;
  readonly channelsOut: number;
  /** size × size × channelsIn × channelsOut, the last running fastest. */
  readonly filter: Float32Array;
  readonly bias: Float32Array;
  /** A map of the result's shape that is added before the activation. */
  readonly plus: string | null;
}

/** A convolution of each channel by itself. */
export interface Depthwise extends Result {
  readonly op: 'depthwise';
  readonly from: string;
  readonly size: number;
  readonly stride: number;
  /** Rows of zeros above and columns of zeros left of the map; below and right as many as the result needs. */
  readonly before: number;
  readonly channels: number;
  /** size × size × channels. */
  readonly filter: Float32Array;
  readonly bias: Float32Array;
}

/** Twice the size, bilinear with the centres of pixels at halves. */
export interface Enlargement extends Result {
  readonly op: 'enlarge';
  readonly from: string;
  readonly plus: string | null;
}

/** The largest of each 2 × 2 pixels. */
export interface Largest extends Result {
  readonly op: 'largest';
  readonly from: string;
  readonly plus: string | null;
}

/** Two maps added. */
export interface Sum extends Result {
  readonly op: 'sum';
  readonly from: string;
  readonly plus: string;
}

/** One step of a network, from one or two maps by name to a new one. */
export type Layer = Convolution | Depthwise | Enlargement | Largest | Sum;

/** Names of the maps that a layer reads. */
export function mapsRead(layer: Layer): readonly string[] {
  return layer.op === 'depthwise' || layer.plus === null ? [layer.from] : [layer.from, layer.plus];
}

/** Shape of the map that a layer makes from maps of these shapes. Throws RangeError where the shapes do not fit. */
export function shapeMade(layer: Layer, shapeOf: (name: string) => MapShape): MapShape {
  const from = shapeOf(layer.from);
  const made = plainShape(layer, from);
  if (layer.op !== 'depthwise' && layer.plus !== null) {
    const plus = shapeOf(layer.plus);
    if (plus.rows !== made.rows || plus.columns !== made.columns || plus.channels !== made.channels) {
      throw new RangeError(`${layer.name} adds maps of two shapes`);
    }
  }
  return made;
}

function plainShape(layer: Layer, from: MapShape): MapShape {
  if (layer.op === 'convolve') {
    if (layer.channelsIn !== from.channels) throw new RangeError(`${layer.name} reads ${layer.channelsIn} channels, gets ${from.channels}`);
    const count = (side: number): number => Math.floor((side + layer.before + layer.after - layer.size) / layer.stride) + 1;
    return { rows: count(from.rows), columns: count(from.columns), channels: layer.channelsOut };
  }
  if (layer.op === 'depthwise') {
    if (layer.channels !== from.channels) throw new RangeError(`${layer.name} reads ${layer.channels} channels, gets ${from.channels}`);
    return { rows: Math.ceil(from.rows / layer.stride), columns: Math.ceil(from.columns / layer.stride), channels: from.channels };
  }
  if (layer.op === 'enlarge') return { rows: from.rows * 2, columns: from.columns * 2, channels: from.channels };
  if (layer.op === 'largest') return { rows: from.rows >> 1, columns: from.columns >> 1, channels: from.channels };
  return from;
}

/** Shapes of all maps by name, the picture's of `size` × `size` × 3 among them. Throws RangeError where a layer reads a map that none before it makes, or shapes do not fit. */
export function shapesOf(layers: readonly Layer[], picture: { readonly name: string; readonly size: number }): ReadonlyMap<string, MapShape> {
  const shapes = new Map<string, MapShape>([[picture.name, { rows: picture.size, columns: picture.size, channels: 3 }]]);
  for (const layer of layers) {
    shapes.set(layer.name, shapeMade(layer, (name) => {
      const shape = shapes.get(name);
      if (shape === undefined) throw new RangeError(`no layer made ${name} yet`);
      return shape;
    }));
  }
  return shapes;
}

/** Multiply–adds of one layer that makes this map. */
export function layerMultiplyAdds(layer: Layer, made: MapShape): number {
  const numbers = made.rows * made.columns * made.channels;
  if (layer.op === 'convolve') return numbers * layer.size ** 2 * layer.channelsIn;
  return layer.op === 'depthwise' ? numbers * layer.size ** 2 : 0;
}
