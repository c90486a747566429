import { mapsRead, type Layer } from './layers.ts';

/** Where each map lies, bytes from the start, and how many bytes all of them need. */
export interface MapPlaces {
  readonly places: ReadonlyMap<string, number>;
  readonly bytes: number;
}

/**
 * Places for the maps that the layers make, so that two maps share memory only when one is no longer read by the stage in
 * which the other is made. `kept` maps last to the end. Largest first, each as low as it goes.
 */
export function placeMaps(layers: readonly Layer[], stages: readonly number[], bytesOf: (name: string) => number, kept: readonly string[]): MapPlaces {
  const stageOf = (step: number): number => stages[step] ?? step;
  const lastRead = new Map<string, number>();
  layers.forEach((layer, step) => { for (const name of mapsRead(layer)) lastRead.set(name, stageOf(step)); });
  for (const name of kept) lastRead.set(name, Infinity);
  const spans = layers.map(({ name }, step) => ({ name, bytes: bytesOf(name), from: stageOf(step), to: lastRead.get(name) ?? stageOf(step) }));
  spans.sort((a, b) => b.bytes - a.bytes);
  const placed: (typeof spans[number] & { readonly at: number })[] = [];
  for (const span of spans) {
    const beside = placed.filter((other) => other.from <= span.to && span.from <= other.to).sort((a, b) => a.at - b.at);
    let at = 0;
    for (const other of beside) {
      if (at + span.bytes <= other.at) break;
      at = Math.max(at, other.at + other.bytes);
    }
    placed.push({ ...span, at });
  }
  return {
    places: new Map(placed.map(({ name, at }) => [name, at])),
    bytes: placed.reduce((end, { at, bytes }) => Math.max(end, at + bytes), 0),
  };
}
