// @vitest-environment jsdom
import { act } from 'react';
import { afterEach, describe, expect, it } from 'vitest';
import type { Outcome } from '../../src/units/outcome.ts';
import { failure, success } from '../../src/units/outcome.ts';
import { PreCheckScreen, type Looker } from '../../src/views/pre-check/pre-check-screen.tsx';
import type { Sample } from '../../workers/sample.ts';
import { mount, type Mounted } from '../support/mount.tsx';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');
const track = truthTrack({ ...truth, frames: truth.frames.slice(0, 1) });
let closed = 0;
const sample = (change: Partial<Sample> = {}): Sample => ({
  isStill: true, track, brightness: 0.45, sharpness: 0.2, sharpnessByFrame: new Float32Array(1), background: null, fps: null, focalPx: null, others: 0,
  picture: { width: 1280, height: 720, close: () => { closed += 1; } }, ...change,
});
/** A looker whose looks the test ends. */
function looker() {
  const looks: { readonly file: File; readonly signal: AbortSignal; readonly end: (outcome: Outcome<Sample>) => void }[] = [];
  let isClosed = false;
  const own: Looker = {
    look: (signal, file) => new Promise((resolve) => { looks.push({ file, signal, end: resolve }); }),
    close: () => { isClosed = true; },
  };
  return { own, looks, isClosed: () => isClosed };
}
let mounted: Mounted | null = null;
afterEach(async () => { await mounted?.unmount(); });
const choose = (name: string) => act(async () => {
  const input = mounted?.page.querySelector<HTMLInputElement>('input[type=file]');
  if (input === null || input === undefined) throw new Error('no file field');
  Object.defineProperty(input, 'files', { value: [new File(['x'], name)], configurable: true });
  input.dispatchEvent(new Event('change', { bubbles: true }));
  await Promise.resolve();
});
const end = (work: () => void) => act(async () => {
  work();
  await Promise.resolve();
});

describe('the view is checked before filming', () => {
  it('every figure stands beside what is wanted; what must change comes first; the start changes the room that is wanted at once', async () => {
    const { own, looks } = looker();
    mounted = await mount(<PreCheckScreen looker={own} />);
    await choose('view.jpg');
    expect(mounted.page.textContent).toContain('Looking at view.jpg');
    await end(() => looks[0]!.end(success(sample({ others: 1 }))));
    const rows = () => [...mounted!.page.querySelectorAll('dl > div')].map((row) => row.textContent);
    // The truth: camera 4.19 m away, athlete 1.58 m, floor under the feet near row 585 of 720.
    expect(rows()[0]).toMatch(/^!Can be better: Distance/);
    expect(rows().some((row) => /Others in view1wanted: nobody/.test(row))).toBe(true);
    expect(rows().find((row) => row.includes('Pictures a second'))).toContain('a photo cannot tell');
    expect(rows().find((row) => row.includes('Room in front'))).toContain('wanted: 3.0 for the shortest start');
    await mounted.choose(mounted.control('Start to be filmed'), 'two-step-run');
    expect(rows().find((row) => row.includes('Room in front'))).toMatch(/^!Change: Room in front4\.\d leg lengthswanted: 6\.0 for the two-step run/);
    expect(rows()[0]).toContain('Room in front');
    expect(mounted.page.textContent).toContain('Not yet: change one thing first');
    expect(mounted.page.textContent).toContain('a usual phone’s is assumed');
    expect(await mounted.violations()).toEqual([]);
  });
  it('a stopped look is dropped, its late answer too; the picture of the look before is let go of; leaving ends the worker', async () => {
    const { own, looks, isClosed } = looker();
    mounted = await mount(<PreCheckScreen looker={own} />);
    await choose('first.jpg');
    await mounted.click(mounted.control('Stop'));
    expect(looks[0]!.signal.aborted).toBe(true);
    closed = 0;
    await end(() => looks[0]!.end(success(sample())));
    expect(closed).toBe(1);
    expect(mounted.page.querySelector('dl')).toBeNull();
    await choose('second.jpg');
    await end(() => looks[1]!.end(success(sample({ focalPx: 1200 }))));
    expect(mounted.page.textContent).toContain('Lens as the file states it');
    await choose('third.mp4');
    expect(closed).toBe(2);
    await end(() => looks[2]!.end(failure({ kind: 'picture-unreadable', fileName: 'third.heic' })));
    expect(mounted.page.querySelector('[role=alert]')?.textContent).toContain('This photo cannot be read here');
    await mounted.unmount();
    mounted = null;
    expect(isClosed()).toBe(true);
  });
});
