import { expose } from 'comlink';
import { describe, expect, it } from 'vitest';
import { ReadingBridge } from '../../src/bridge/reading-bridge.ts';
import { readClip, type Readable } from '../../src/reading/read-clip.ts';
import type { Overrides } from '../../src/reading/reading.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import type { ReadingWorker } from '../../workers/reading.worker.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

const clipOf = (name: string): Readable => ({ track: truthTrack(readTruthFile(name)), clip: { timeBase: { kind: 'known' } } });

/** A reading worker on a message channel, which notes how many tracks came over. */
function readingWorker({ forgets = false } = {}) {
  const seen = { tracks: 0, calls: 0 };
  const held = new Map<number, Readable>();
  const worker: ReadingWorker = {
    read(id, track, overrides, profile) {
      seen.calls += 1;
      if (track !== null) seen.tracks += 1;
      const readable = track ?? held.get(id);
      if (readable === undefined) return null;
      if (!forgets) held.set(id, readable);
      return readClip(readable, overrides, profile);
    },
  };
  const { port1, port2 } = new MessageChannel();
  expose(worker, port2);
  return {
    seen,
    start: () => port1 as unknown as Worker,
    close: () => { port1.close(); port2.close(); },
  };
}

describe('reading beside the page', () => {
  it('gives what the pure reading gives, and sends a track once for three readings', async () => {
    const worker = readingWorker();
    const bridge = new ReadingBridge(worker);
    const clip = clipOf('sprint-lunge-good');
    for (const stated of [{}, { heightM: 1.5 }, { lead: 'right' }] satisfies Overrides[]) {
      expect(await bridge.read(clip, stated, DEFAULT_PROFILE)).toEqual(readClip(clip, stated));
    }
    expect(worker.seen).toEqual({ tracks: 1, calls: 3 });
    worker.close();
  });

  it('sends a track again that the worker no longer holds', async () => {
    const worker = readingWorker({ forgets: true });
    const bridge = new ReadingBridge(worker);
    const clip = clipOf('sprint-lunge-good');
    await bridge.read(clip, {}, DEFAULT_PROFILE);
    expect((await bridge.read(clip, {}, DEFAULT_PROFILE)).start.value).toBe('sprint-lunge');
    expect(worker.seen.tracks).toBe(2);
    worker.close();
  });

  it('reads on the page once the worker has died', async () => {
    const { port1 } = new MessageChannel();
    const bridge = new ReadingBridge({ start: () => port1 as unknown as Worker });
    const clip = clipOf('sprint-lunge-good');
    const waiting = bridge.read(clip, {}, DEFAULT_PROFILE);
    port1.dispatchEvent(new Event('error'));
    expect((await waiting).start.value).toBe('sprint-lunge');
    expect((await bridge.read(clip, { lead: 'right' }, DEFAULT_PROFILE)).lead.value).toBe('right');
    port1.close();
  });
});
