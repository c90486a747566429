import { mapsRead, type Layer } from './layers.ts';

/** The same layers with each sum done by the layer that makes one of its maps, where that map serves nothing else. `kept` are maps that are wanted themselves. */
export function joinLayers(layers: readonly Layer[], kept: readonly string[]): readonly Layer[] {
  const readers = new Map<string, number>();
  for (const name of [...layers.flatMap(mapsRead), ...kept]) readers.set(name, (readers.get(name) ?? 0) + 1);
  const makers = new Map(layers.map((layer) => [layer.name, layer]));
  const joined = new Map<string, Layer>();
  const gone = new Set<string>();
  for (const sum of layers) {
    if (sum.op !== 'sum') continue;
    for (const [own, other] of [[sum.from, sum.plus], [sum.plus, sum.from]] as const) {
      const maker = makers.get(own);
      if (maker === undefined || maker.op === 'depthwise' || maker.op === 'sum' || maker.plus !== null) continue;
      if (maker.activation !== 'linear' || readers.get(own) !== 1) continue;
      joined.set(sum.name, { ...maker, name: sum.name, plus: other, activation: sum.activation });
      gone.add(own);
      break;
    }
  }
  return layers.filter(({ name }) => !gone.has(name)).map((layer) => joined.get(layer.name) ?? layer);
}
