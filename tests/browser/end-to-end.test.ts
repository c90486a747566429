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

it('one worker, two and three give the very same track, and the background to a fifth of a pixel', async () => {
  const tracks = [];
  for (const workers of [1, 2, 3]) {
    await open.page.goto(`${open.address}measure.html?workers=${workers}`);
    await open.page.setInputFiles('#clips', join(CLIPS, 'sprint-lunge-good.mp4'));
    const { track } = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.measure(0, { ...request, model: 'lite' }, {}, true);
    }, REQUEST);
    tracks.push(track);
  }
  const [alone, ...shared] = tracks;
  expect(alone?.times).toHaveLength(105);
  expect(alone?.background?.xPx).toHaveLength(105);
  expect(shared).toHaveLength(2);
  for (const track of shared) {
    // Each run holds the background against a picture of its own.
    for (const axis of ['xPx', 'yPx'] as const) {
      alone?.background?.[axis].forEach((px, frame) => { expect(Math.abs(px - (track?.background?.[axis][frame] ?? Number.NaN))).toBeLessThan(0.2); });
    }
    expect({ ...track, background: null }).toEqual({ ...alone, background: null });
  }
});

it('asks nothing of any other origin', () => {
  expect(open.foreignRequests).toEqual([]);
});
