import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { countChoices, measureRows, momentRows, type Pair } from '../../tools/bench/accuracy-table.ts';
import { readTruth } from '../../tools/bench/truth.ts';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';
import { measureClips } from '../../tools/measure/measure-clips.ts';

// The whole engine, file to verdict, in the built app, on our own rendered clips with exact truth (fixtures/clips/README.md).
const CLIPS = fileURLToPath(new URL('../../fixtures/clips/', import.meta.url));

let open: OpenPage;
const pairs: Pair[] = [];
beforeAll(async () => {
  open = await openPage('measure.html');
  const names = readdirSync(CLIPS).filter((name) => name.endsWith('.mp4')).map((name) => name.replace('.mp4', '')).sort();
  for (const name of names) {
    const truth = readTruth(join(CLIPS, `${name}.truth.json`));
    const options = {
      request: { trim: null, athleteAt: null, model: 'full' as const, backend: 'wasm' as const },
      overrides: { timeBase: { kind: 'known' as const }, heightM: truth.heightM },
      withTracks: false,
    };
    for await (const { record } of measureClips(open.page, [join(CLIPS, `${name}.mp4`)], options)) pairs.push({ name, record, truth });
  }
}, 900_000);
afterAll(() => open.close());

describe('twelve clips with exact truth, nothing stated but time base and height', () => {
  it('start, lead leg and direction are right in 12 of 12', () => {
    expect(countChoices(pairs)).toEqual({ clips: 12, failed: 0, start: 12, lead: 12, direction: 12 });
  });

  it.each(['firstMove', 'launch', 'plant', 'hands', 'passe'])('%s: found in all, within 2 frames of 1/60 s, median at most 1', (id) => {
    const row = momentRows(pairs).find((each) => each.id === id);
    expect(row).toMatchObject({ found: 12, of: 12 });
    expect(row?.max).toBeLessThanOrEqual(2);
    expect(row?.medianAbs).toBeLessThanOrEqual(1);
  });

  // The bounds are what the stock landmarks give at the true moments; the joint head must beat them end to end.
  it.each([
    ['passe.knee', 6.9],
    ['launch.trunkLean', 6.4],
    ['plant.frontKnee', 6.5],
    ['set.backKnee', 8.6],
    ['plant.lungeRatio', 0.08],
  ])('%s is off by at most %d on average, without a gap', (id, bound) => {
    const row = measureRows(pairs).find((each) => each.id === id);
    expect(row?.measured).toBe(row?.of);
    expect(row?.mae).toBeLessThanOrEqual(bound);
  });

  it('no verdict is wrong where the truth is clear of every edge, and 93 % of the intervals or more hold the truth', () => {
    const rows = measureRows(pairs);
    expect(rows.reduce((sum, row) => sum + row.verdicts.wrong, 0)).toBe(0);
    const held = rows.reduce((sum, row) => sum + row.coverage * row.measured, 0);
    expect(held / rows.reduce((sum, row) => sum + row.measured, 0)).toBeGreaterThanOrEqual(0.93);
  });

  it('asked nothing of any other origin', () => {
    expect(open.foreignRequests).toEqual([]);
  });
});
