import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';
import { readTruth } from '../../tools/bench/truth.ts';
import { measuredRecordSchema } from '../../tools/measure/results-schema.ts';

const CLIPS = fileURLToPath(new URL('../../fixtures/clips/', import.meta.url));
const REQUEST = { trim: null, athleteAt: null, model: 'full' as const, backend: 'wasm' as const };

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
});
afterAll(() => open.close());

describe.each(['sprint-lunge-good', 'hop-from-passe-low-passe'])('%s, from the file to the cue', (name) => {
  it('finds the start, lead leg, direction and moments of the truth', async () => {
    const truth = readTruth(join(CLIPS, `${name}.truth.json`));
    await open.page.setInputFiles('#clips', join(CLIPS, `${name}.mp4`));
    const { record } = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.measure(0, request, { timeBase: { kind: 'known' } }, false);
    }, REQUEST);
    const measured = measuredRecordSchema.parse(record);
    expect(measured.engine).toMatchObject({ backend: 'wasm' });
    expect(measured.start).toMatchObject({ id: truth.start, source: 'detected' });
    expect(measured.lead.side).toBe(truth.lead);
    expect(measured.direction.value).toBe(truth.direction);
    for (const id of ['launch', 'plant', 'hands'] as const) {
      const moment = measured.moments[id];
      if (!moment.found) throw new Error(`${id}: ${moment.why}`);
      // Issue 2: moments within 2 frames at 60 frames a second.
      expect(Math.abs(moment.t - (truth.moments[id] ?? Number.NaN)), id).toBeLessThanOrEqual(2 / 60);
    }
    const knee = measured.measures['passe.knee'];
    if (knee?.measured !== true) throw new Error('passe.knee not measured');
    // Published single-camera knee angles are 4 to 7° off (CHECKVALUES accuracy table); 15° catches a wrong leg or frame.
    expect(Math.abs(knee.value - (truth.measures['passe.knee']?.value ?? Number.NaN))).toBeLessThan(15);
  });
});

describe('an analysis can be stopped', () => {
  it('cancelling answers within 0.3 s, and the next analysis works', async () => {
    await open.page.setInputFiles('#clips', join(CLIPS, 'sprint-lunge-good.mp4'));
    const stopped = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.cancel(0, request, 1500);
    }, REQUEST);
    expect(stopped.problem).toEqual({ kind: 'cancelled' });
    // Issue 2: cancel within 0.3 s.
    expect(stopped.tookMs).toBeLessThan(300);
    const reports = await open.page.evaluate((request) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.progress(0, { ...request, model: 'lite', trim: { fromS: 0, toS: 0.5 } });
    }, REQUEST);
    const fractions = reports.map((report) => report.fraction);
    expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
    expect(new Set(reports.map((report) => report.stage))).toEqual(new Set(['reading', 'preparing', 'finding', 'measuring']));
    expect(fractions.at(-1)).toBeGreaterThan(0.9);
  });
});

it('one worker and three give the very same track', async () => {
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
  expect(tracks[1]).toEqual(tracks[0]);
});

it('asks nothing of any other origin', () => {
  expect(open.foreignRequests).toEqual([]);
});
