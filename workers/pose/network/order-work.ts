import type { Layer, MapShape } from './layers.ts';

/** Rows `from` (inclusive) to `end` (exclusive) of the map of one layer, made at once. */
export interface Portion {
  /** Place of the layer among all. */
  readonly layer: number;
  readonly from: number;
  readonly end: number;
}

/** In which order the maps are made. */
export interface WorkOrder {
  readonly portions: readonly Portion[];
  /** The stage of each layer: while one stage is under way any of its maps may be written or read. */
  readonly stages: readonly number[];
}

/** A map from this size on is handed on some rows at a time, bytes (chosen: what lies beyond is no longer near when it is read). */
const LARGE_MAP = 1 << 19;
/** About so much of the largest map is made at once, bytes. */
const PORTION = 1 << 18;

/**
 * The layers in order, but those that hand on a large map in turns: each makes as many rows as the next needs for its own,
 * so that they are read while they are still near the processor.
 */
export function orderWork(layers: readonly Layer[], shapeOf: (name: string) => MapShape, bytesOf: (name: string) => number): WorkOrder {
  const stages: number[] = [];
  layers.forEach((layer, i) => {
    const before = layers[i - 1];
    const isHandedOn = before !== undefined && layer.from === before.name && isByRows(layer) && isByRows(before) && bytesOf(before.name) >= LARGE_MAP;
    const stage = stages[i - 1] ?? -1;
    stages.push(isHandedOn ? stage : stage + 1);
  });
  const portions: Portion[] = [];
  for (let first = 0; first < layers.length;) {
    const count = stages.lastIndexOf(stages[first] as number) + 1 - first;
    portions.push(...inTurns(layers.slice(first, first + count), shapeOf, bytesOf).map((portion) => ({ ...portion, layer: first + portion.layer })));
    first += count;
  }
  return { portions, stages };
}

function isByRows({ op }: Layer): boolean {
  return op === 'convolve' || op === 'depthwise';
}

/** The portions of layers of which each reads the one before. */
function inTurns(layers: readonly Layer[], shapeOf: (name: string) => MapShape, bytesOf: (name: string) => number): readonly Portion[] {
  const rows = layers.map(({ name }) => shapeOf(name).rows);
  const last = layers.length - 1;
  const turns = last === 0 ? 1 : Math.ceil(Math.max(...layers.map(({ name }) => bytesOf(name))) / PORTION);
  const made = layers.map(() => 0);
  const portions: Portion[] = [];
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

/** How many rows of its map a layer reads to make so many of its own. */
function rowsRead(layer: Layer, made: number): number {
  return layer.op === 'convolve' || layer.op === 'depthwise' ? (made - 1) * layer.stride - layer.before + layer.size : made;
}
