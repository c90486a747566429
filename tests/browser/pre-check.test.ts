import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const fixture = (path: string): string => fileURLToPath(new URL(`../../fixtures/${path}`, import.meta.url));
let open: OpenPage;
beforeAll(async () => {
  open = await openPage('index.html');
  await open.page.getByRole('link', { name: 'Check the view before you film' }).click();
  await open.page.getByRole('heading', { name: 'Check the view before you film' }).waitFor();
});
afterAll(() => open.close());

async function look(file: string | { readonly name: string; readonly mimeType: string; readonly buffer: Buffer }): Promise<string> {
  await open.page.locator('main input[type=file]').setInputFiles(file);
  const name = typeof file === 'string' ? basename(file) : file.name;
  // Either the file's own picture, or what is wrong with it.
  await open.page.locator(`main canvas[aria-label^="${name}"], main [role=alert]`).waitFor({ timeout: 120_000 });
  return open.page.locator('main [aria-live]').innerText();
}
const figure = (text: string, after: string): number => Number(new RegExp(`${after}\\s+(?:about )?([\\d.]+)`).exec(text)?.[1]);

describe('the view is checked before filming, in the browser', () => {
  // Truth of the clip: athlete 1.58 m, camera 4.19 m away, focal length 1177 px on 1280 × 720: 444 px, 2.65 body heights.
  it('a photo: size within 8 % of the truth, the lens that its EXIF states (26 mm of 1280 × 720 = 882 px), what a photo cannot tell', async () => {
    const text = await look(fixture('stills/view.jpg'));
    const heightPx = figure(text, 'Size in the picture');
    expect(Math.abs(heightPx / 444 - 1)).toBeLessThan(0.08);
    expect(figure(text, 'Distance')).toBeCloseTo(882 / heightPx, 1);
    expect(text).toContain('Lens as the file states it');
    expect(text).toMatch(/Pictures a second\s+a photo cannot tell/);
  });
  it('the first second of a clip: 60 pictures a second, a phone that stands still, room and light', async () => {
    const text = await look(fixture('clips/sprint-lunge-good.mp4'));
    expect(figure(text, 'Pictures a second')).toBe(60);
    expect(text).toMatch(/Phone still\s+moved 0\.00\d leg lengths/);
    expect(text).toMatch(/Whole body in view\s+all of it/);
    expect(text).toContain('Ready');
  });
  it('a photo that the browser cannot show says so with a way out', async () => {
    const text = await look({ name: 'view.heic', mimeType: 'image/heic', buffer: Buffer.from('no picture at all') });
    expect(text).toContain('This photo cannot be read here');
    expect(text).toContain('screenshot');
  });
  it('nothing was asked of any other origin, nothing stored, no error logged', async () => {
    expect(open.foreignRequests).toEqual([]);
    expect(open.errors).toEqual([]);
    const kept = await open.page.evaluate(async () => {
      const { indexedDB } = window;
      let rows = 0;
      for (const { name } of await indexedDB.databases()) {
        const db = await new Promise<IDBDatabase>((resolve, reject) => {
          const request = indexedDB.open(name ?? '');
          request.onsuccess = () => { resolve(request.result); };
          request.onerror = () => { reject(new Error('cannot open')); };
        });
        for (const store of db.objectStoreNames) {
          if (!/clip|track|thumb|result|work/i.test(store)) continue;
          rows += await new Promise<number>((resolve) => {
            const count = db.transaction(store).objectStore(store).count();
            count.onsuccess = () => { resolve(count.result); };
          });
        }
        db.close();
      }
      const files: string[] = [];
      const list = async (folder: FileSystemDirectoryHandle): Promise<void> => {
        for await (const entry of folder.values()) {
          if (entry.kind === 'file') files.push(entry.name);
          else await list(entry);
        }
      };
      await list(await navigator.storage.getDirectory());
      return { rows, files };
    });
    expect(kept).toEqual({ rows: 0, files: [] });
  });
});
