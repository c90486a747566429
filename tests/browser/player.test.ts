import { join } from 'node:path';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const FORMATS = join(import.meta.dirname, '../../fixtures/formats');

let open: OpenPage;
beforeAll(async () => {
  const built = await build({
    configFile: false,
    logLevel: 'error',
    build: { write: false, target: 'es2023', lib: { entry: join(import.meta.dirname, 'player-page.ts'), formats: ['iife'], name: 'player' } },
  });
  const [output] = Array.isArray(built) ? built : [];
  const content = output?.output[0].code;
  if (content === undefined) throw new Error('the player page was not built');
  open = await openPage('measure.html');
  // Not a script tag: the page's policy allows its own files only.
  await open.page.evaluate(content);
});
afterAll(() => open.close());

/** Times of 30 frames as fixtures/formats/README.md states them, from the first shown frame. */
const even = (fps: number) => Array.from({ length: 30 }, (_, n) => n / fps);
const uneven = Array.from({ length: 30 }, (_, n) => n / 30 + (n % 3 === 2 ? 0.5 / 30 : 0));

/** The number of a frame from its grey: 30 + 6 n in frame n. */
const numberOf = (grey: number) => (grey - 30) / 6;

const CLIPS = [
  ['upright.mp4', even(30)],
  ['quick.mov', even(30)],
  ['open.webm', even(30)],
  ['fast-120.mp4', even(120)],
  ['fast-240.mp4', even(240)],
  ['uneven.mp4', uneven],
  ['late-start.mp4', even(30)],
] as const;

describe('the drawing follows the frame on screen (promise F8: at most half a frame)', () => {
  it.each(CLIPS)('%s: each seek shows the frame that was meant, and its own time', async (name, times) => {
    await open.page.setInputFiles('#clips', join(FORMATS, name));
    const order = [7, 3, 4, 5, 20, 19, 28, 0, 12, 13, 11];
    const shown = await open.page.evaluate(
      ([asked, all]) => window.lungelinePlayer?.seek(asked, all),
      [order.map((frame) => times[frame] ?? 0), [...times]] as const,
    );
    if (shown === undefined) throw new Error('the player did not start');
    expect(shown).toHaveLength(order.length);
    shown.forEach(({ t, grey }, index) => {
      const meant = order[index] ?? 0;
      // Half a grey step of 6 tells neighbours apart; coding at quality 12 moves it by less than 1.
      expect(Math.abs(numberOf(grey) - meant), `picture of seek ${index}`).toBeLessThan(0.5);
      const spacing = (times[1] ?? 0) - (times[0] ?? 0);
      expect(Math.abs(t - (times[meant] ?? 0)), `time of seek ${index}`).toBeLessThan(spacing / 2);
    });
  });

  it.each([['upright.mp4', even(30)], ['uneven.mp4', uneven], ['late-start.mp4', even(30)]] as const)('%s: while it plays, too', async (name, times) => {
    await open.page.setInputFiles('#clips', join(FORMATS, name));
    const shown = await open.page.evaluate(([rate, all]) => window.lungelinePlayer?.play(rate, all), [0.25, [...times]] as const);
    if (shown === undefined) throw new Error('the player did not start');
    expect(shown.length).toBeGreaterThan(5);
    for (const { t, grey } of shown) {
      const frame = Math.round(numberOf(grey));
      expect(Math.abs(t - (times[frame] ?? NaN)), `frame ${frame}`).toBeLessThanOrEqual(1 / 60);
    }
  });
});
