import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const CLIPS = fileURLToPath(new URL('../../fixtures/clips/', import.meta.url));
const REQUEST = { trim: null, athleteAt: null, model: 'full' as const, backend: 'wasm' as const };

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
});
afterAll(() => open.close());

describe('an analysis can be stopped', () => {
  it('cancelling answers at once with the problem "cancelled", and the next analysis works', async () => {
    await open.page.setInputFiles('#clips', join(CLIPS, 'sprint-lunge-good.mp4'));
    const stopped = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.cancel(0, request, 1500);
    }, REQUEST);
    expect(stopped.problem).toEqual({ kind: 'cancelled' });
    const reports = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.progress(0, { ...request, model: 'lite', trim: { fromS: 0, toS: 0.5 } });
    }, REQUEST);
    const fractions = reports.map((report) => report.fraction);
    expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
    expect(new Set(reports.map((report) => report.stage))).toEqual(new Set(['reading', 'preparing', 'finding', 'measuring']));
    expect(fractions.at(-1)).toBeGreaterThan(0.9);
    // Whoever waits sees joints as soon as somebody is found, while the search goes on.
    expect(reports.find(({ glimpse }) => glimpse !== undefined)).toMatchObject({ stage: 'finding', glimpse: { xy: expect.anything() as unknown } });
  });
});

it('one worker and three give the very same track, and the background to a tenth of a pixel', async () => {
  const tracks = [];
  for (const workers of [1, 3]) {
    await open.page.goto(`${open.address}measure.html?workers=${workers}`);
    await open.page.setInputFiles('#clips', join(CLIPS, 'sprint-lunge-good.mp4'));
    const { track } = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.measure(0, { ...request, model: 'lite' }, {}, true);
    }, REQUEST);
    tracks.push(track);
  }
  expect(tracks[0]?.times).toHaveLength(105);
  // Each run holds the background against a picture of its own.
  const [one, three] = tracks.map((track) => track?.background);
  expect(one?.xPx).toHaveLength(105);
  for (const axis of ['xPx', 'yPx'] as const) one?.[axis].forEach((px, frame) => { expect(Math.abs(px - (three?.[axis][frame] ?? Number.NaN))).toBeLessThan(0.1); });
  expect({ ...tracks[1], background: null }).toEqual({ ...tracks[0], background: null });
});

it('asks nothing of any other origin', () => {
  expect(open.foreignRequests).toEqual([]);
});
