import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { expect, it } from 'vitest';
import { buildIfStale } from '../../tools/build/build-if-stale.mjs';
import { BROWSER_ARGUMENTS, builtFolder } from '../../tools/browser/open-page.ts';
import { findBrowser } from '../../tools/browser/find-browser.mjs';
import { serveFolder } from '../../tools/serve/static-server.mjs';

const CLIP = join(fileURLToPath(new URL('../../fixtures/clips/', import.meta.url)), 'tip-from-passe-good.mp4');

it('after one visit in which nothing was measured, and with the server stopped, the app opens and measures a clip (F2); nothing runs against its own content policy', async () => {
  buildIfStale();
  const executablePath = findBrowser();
  if (executablePath === null) throw new Error('No Chromium or Chrome found. Install one, or set CHROMIUM_PATH.');
  const server = await serveFolder(builtFolder());
  const browser = await chromium.launch({ executablePath, args: [...BROWSER_ARGUMENTS] });
  try {
    const context = await browser.newContext();
    const first = await context.newPage();
    await first.goto(server.address);
    await first.evaluate(async () => { await navigator.serviceWorker.ready; });
    const names = await first.evaluate(() => caches.keys());
    expect(names).toHaveLength(1);
    expect(names[0]).toMatch(/^lungeline-program-[0-9a-f]{16}$/);
    await first.close();
    await server.close();

    const second = await context.newPage();
    await second.addInitScript(() => {
      const against: string[] = [];
      Object.assign(window, { against });
      document.addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI, sourceFile }) => { against.push(`${violatedDirective} ${blockedURI} ${sourceFile}`); });
    });
    const failed: string[] = [];
    // The kept program itself asks the network first and answers from what it keeps: only what the page missed counts.
    context.on('requestfailed', (request) => { if (!request.url().startsWith('blob:') && request.serviceWorker() === null) failed.push(request.url()); });
    await second.goto(server.address);
    await second.setInputFiles('input[type=file]', CLIP);
    await second.getByRole('button', { name: 'Save this rep' }).waitFor({ timeout: 200_000 });
    expect(failed).toEqual([]);
    expect(await second.evaluate(() => (window as unknown as { readonly against: readonly string[] }).against)).toEqual([]);
  } finally {
    await browser.close();
    await server.close().catch(() => undefined);
  }
});
