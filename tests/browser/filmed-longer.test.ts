import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { readTruth } from '../../tools/bench/truth.ts';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';
import { measureClips } from '../../tools/measure/measure-clips.ts';

// Clips of 6 to 7 s, in which the part that holds the start must be found first (fixtures/filmed-longer/README.md).
const fixture = (name: string): string => fileURLToPath(new URL(`../../fixtures/${name}`, import.meta.url));
/** How long the athlete stands before the original clip begins, seconds. */
const BEFORE_S = 2.4;

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
});
afterAll(() => open.close());

it.each([
  ['alone', 'two-step-run', 'clips/two-step-run-good'],
  ['people about', 'power-hurdle-people', 'harder-clips/h09-power-madult-people'],
])('%s: the start is found, only the part around it is measured, and the moments are right to a 60th of a second', async (_, name, original) => {
  const truth = readTruth(fixture(`${original}.truth.json`));
  const options = {
    request: { trim: null, athleteAt: null, model: 'full' as const, backend: 'wasm' as const },
    overrides: { timeBase: { kind: 'known' as const }, heightM: truth.heightM },
    withTracks: true,
  };
  let clips = 0;
  for await (const { record, track } of measureClips(open.page, [fixture(`filmed-longer/${name}.mp4`)], options)) {
    clips += 1;
    if (!record.ok) throw new Error(record.problem.kind);
    expect(record.start.id).toBe(truth.start);
    expect(record.lead.side).toBe(truth.lead);
    expect(record.direction.value).toBe(truth.direction);
    const firstMoveS = (truth.moments.firstMove ?? Number.NaN) + BEFORE_S;
    expect(record.part.fromS).toBeGreaterThan(firstMoveS - 2.2);
    expect(record.part.fromS).toBeLessThan(firstMoveS - 0.4);
    for (const id of ['firstMove', 'launch', 'plant', 'hands'] as const) {
      const found = record.moments[id];
      if (!found.found) throw new Error(`${id} was not found`);
      expect(Math.abs(found.t - BEFORE_S - (truth.moments[id] ?? Number.NaN)), id).toBeLessThanOrEqual(1 / 60);
    }
    // Of about 400 frames those from the stance to soon after the hands, fewer of them while the athlete stands.
    expect(track?.times.length).toBeLessThan(220);
  }
  expect(clips).toBe(1);
});

it('asks nothing of any other origin', () => {
  expect(open.foreignRequests).toEqual([]);
});
