import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openBarePage, type BarePage } from '../../tools/browser/bare-page.ts';
import { builtFolder } from '../../tools/browser/open-page.ts';
import { buildIfStale } from '../../tools/build/build-if-stale.mjs';
import { memoryOf } from '../../tools/browser/page-memory.ts';

const CLIP = join(fileURLToPath(new URL('../../fixtures/clips/', import.meta.url)), 'sprint-lunge-good.mp4');

let page: BarePage;
beforeAll(async () => {
  buildIfStale();
  page = await openBarePage(builtFolder(), 'measure.html');
  await page.setFiles([CLIP]);
});
afterAll(() => page.close());

function takeStills(times: readonly number[]): Promise<unknown> {
  return page.evaluate(`window.lungelineMeasure.stills(0, ${JSON.stringify(times)}, 640).then((answer) => answer.stills.length)`);
}

// Only Linux tells a process's memory in /proc. A picture kept by the browser is 1280 × 720 × 4 bytes, 3.5 MiB: 40 would be 140.
it.skipIf(process.platform !== 'linux')('a still leaves nothing behind: 40 after the first 8 add less than 40 MiB to the page', async () => {
  const eight = Array.from({ length: 8 }, (_, i) => 0.2 * i);
  expect(await takeStills(eight)).toBe(8);
  const ids = await page.rendererIds();
  const before = memoryOf(ids).own;
  for (let round = 1; round <= 5; round += 1) expect(await takeStills(eight.map((t) => t + round * 0.02))).toBe(8);
  expect(memoryOf(ids).own - before).toBeLessThan(40);
});
