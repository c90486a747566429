import { mapsRead, type Layer, type MapShape } from './layers.ts';

/** Rows `from` (inclusive) to `end` (exclusive) of the map of one layer, made at once. */
export interface Portion {
  /** Place of the layer among all. */
  readonly layer: number;
  readonly from: number;
  readonly end: number;
  /** First row of the map that is still read once this portion is made: those before need no place any more. */
  readonly keptFrom: number;
}

/** In which order the maps are made. */
export interface WorkOrder {
  readonly portions: readonly Portion[];
  /** The stage of each layer: while one stage is under way any of its maps may be written or read. */
  readonly stages: readonly number[];
  /** Most rows of each layer's map that need a place at a time. */
  readonly rowsHeld: readonly number[];
}

/** A map from this size on is handed on some rows at a time, bytes (chosen: what lies beyond is no longer near when it is read). */
const LARGE_MAP = 1 << 19;
/** About so much of the largest map is made at once, bytes. */
const PORTION = 1 << 18;

/**
 * The layers in order, but those that hand on a large map in turns: each makes as many rows as the next needs for its own,
 * so that they are read while they are still near the processor. Rows that only the next layer reads are given up as soon as
 * it has read them, unless the map is `wanted`.
 */
export function orderWork(layers: readonly Layer[], shapeOf: (name: string) => MapShape, bytesOf: (name: string) => number, wanted: readonly string[]): WorkOrder {
  const stages: number[] = [];
  layers.forEach((layer, i) => {
    const before = layers[i - 1];
    const isHandedOn = before !== undefined && layer.from === before.name && isByRows(layer) && isByRows(before) && bytesOf(before.name) >= LARGE_MAP;
    const stage = stages[i - 1] ?? -1;
    stages.push(isHandedOn ? stage : stage + 1);
  });
  const made = layers.map(() => 0);
  const rowsHeld = layers.map(() => 0);
  const isPassing = layers.map(({ name }, i) => stages[i] === stages[i + 1] && !wanted.includes(name) && layers.filter((layer) => mapsRead(layer).includes(name)).length === 1);
  const portions: Portion[] = [];
  for (let first = 0; first < layers.length;) {
    const count = stages.lastIndexOf(stages[first] as number) + 1 - first;
    for (const { layer: place, from, end } of inTurns(layers.slice(first, first + count), shapeOf, bytesOf)) {
      const layer = first + place;
      const keptFrom = isPassing[layer] === true ? Math.max(0, Math.min(from, firstRowRead(layers[layer + 1] as Layer, made[layer + 1] as number))) : 0;
      portions.push({ layer, from, end, keptFrom });
      made[layer] = end;
      rowsHeld[layer] = Math.max(rowsHeld[layer] as number, end - keptFrom);
    }
    first += count;
  }
  return { portions, stages, rowsHeld };
}

function isByRows({ op }: Layer): boolean {
  return op === 'convolve' || op === 'depthwise';
}

/** The portions of layers of which each reads the one before. */
function inTurns(layers: readonly Layer[], shapeOf: (name: string) => MapShape, bytesOf: (name: string) => number): readonly Omit<Portion, 'keptFrom'>[] {
  const rows = layers.map(({ name }) => shapeOf(name).rows);
  const last = layers.length - 1;
  const turns = last === 0 ? 1 : Math.ceil(Math.max(...layers.map(({ name }) => bytesOf(name))) / PORTION);
  const made = layers.map(() => 0);
  const portions: Omit<Portion, 'keptFrom'>[] = [];
  for (let turn = 1; turn <= turns; turn += 1) {
    // What the last turn leaves out of a map may be read by others.
    const ends = turn === turns ? rows : rows.map(() => Math.ceil(((rows[last] as number) * turn) / turns));
    for (let i = last; i > 0 && turn < turns; i -= 1) ends[i - 1] = Math.min(rows[i - 1] as number, rowsRead(layers[i] as Layer, ends[i] as number));
    ends.forEach((end, layer) => {
      const from = made[layer] as number;
      if (end > from) portions.push({ layer, from, end });
      made[layer] = Math.max(from, end);
    });
  }
  return portions;
}

/** The first row of its map that a layer reads to make one of its own; negative in the zeros above. */
function firstRowRead(layer: Layer, row: number): number {
  return layer.op === 'convolve' || layer.op === 'depthwise' ? row * layer.stride - layer.before : row;
}

/** How many rows of its map a layer reads to make so many of its own. */
function rowsRead(layer: Layer, made: number): number {
  return layer.op === 'convolve' || layer.op === 'depthwise' ? firstRowRead(layer, made - 1) + layer.size : made;
}
