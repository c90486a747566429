import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';
import { pageMemory } from '../../tools/browser/page-memory.ts';

const CLIP = join(fileURLToPath(new URL('../../fixtures/clips/', import.meta.url)), 'sprint-lunge-good.mp4');

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
  await open.page.setInputFiles('#clips', CLIP);
});
afterAll(() => open.close());

function takeStills(times: readonly number[]) {
  return open.page.evaluate(async (asked) => {
    if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
    const answer = await window.lungelineMeasure.stills(0, asked, 640);
    return 'stills' in answer ? answer.stills.length : 0;
  }, times);
}

// Only Linux tells a process's memory in /proc. A picture kept by the browser is 1280 × 720 × 4 bytes, 3.5 MiB: 40 would be 140.
it.skipIf(process.platform !== 'linux')('a still leaves nothing behind: 40 after the first 8 add less than 40 MiB to the page', async () => {
  const eight = Array.from({ length: 8 }, (_, i) => 0.2 * i);
  expect(await takeStills(eight)).toBe(8);
  const before = (await pageMemory(open.browser)).own;
  for (let round = 1; round <= 5; round += 1) expect(await takeStills(eight.map((t) => t + round * 0.02))).toBe(8);
  expect((await pageMemory(open.browser)).own - before).toBeLessThan(40);
});
