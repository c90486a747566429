import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { BROWSER_ARGUMENTS, openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const CLIP = join(fileURLToPath(new URL('../../fixtures/clips/', import.meta.url)), 'sprint-lunge-good.mp4');
const REQUEST = { trim: { fromS: 0, toS: 0.1 }, athleteAt: null, model: 'lite' as const };

let open: OpenPage;
beforeAll(async () => {
  // A browser that offers WebGL but draws it on the processor.
  const args = BROWSER_ARGUMENTS.filter((argument) => argument !== '--disable-gpu');
  open = await openPage('measure.html', { browserArguments: [...args, '--use-angle=swiftshader', '--enable-unsafe-swiftshader'] });
  await open.page.setInputFiles('#clips', CLIP);
});
afterAll(() => open.close());

function measure(backend: 'wasm' | 'webgl' | null) {
  return open.page.evaluate((request) => {
    if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
    return window.lungelineMeasure.measure(0, request, {}, true);
  }, { ...REQUEST, backend });
}

it('WebGL drawn in software is never chosen; asked for, it passes the self-test and gives the landmarks of wasm, 95 % within 2 px and the middle one within 0.2 of the 256 of a region', async () => {
  const left = await measure(null);
  expect(left.record.ok && left.record.engine.backend).toBe('wasm');
  const forced = await measure('webgl');
  expect(forced.record.ok && forced.record.engine.backend).toBe('webgl');
  const a = left.track?.xy ?? [];
  const b = forced.track?.xy ?? [];
  expect(a.length).toBeGreaterThan(0);
  expect(b).toHaveLength(a.length);
  // The crop of this clip is about 600 px wide. A hair can tip a region to the next place of its grid: single landmarks that are hard to see then move farther.
  const apart = a.map((value, i) => Math.abs((value ?? Number.NaN) - (b[i] ?? Number.NaN)) * (256 / 600)).sort((one, other) => one - other);
  expect(apart[Math.floor(apart.length / 2)]).toBeLessThan(0.2);
  expect(apart[Math.floor(apart.length * 0.95)]).toBeLessThan(2);
});

it('on the processor the models run by our own kernels with fused multiply–adds, which passed the self-test on the reference picture', async () => {
  const limit = await open.page.evaluate(() => window.lungelineMeasure?.limit('wasm') ?? null);
  expect(limit?.means).toBe(process.arch === 'x64' ? 'fused integer kernels' : 'fused kernels');
  expect((limit?.frameMultiplyAdds ?? 0) / 1e6).toBeCloseTo(467.9, 0);
  expect(limit?.peakPerS).toBeGreaterThan(0);
});
