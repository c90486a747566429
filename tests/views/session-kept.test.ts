import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { Reading } from '../../src/reading/reading.ts';
import { createSession } from '../../src/state/session.ts';
import type { LeftClip, WorkStorage } from '../../src/storage/work-storage.ts';
import { failure, success } from '../../src/units/outcome.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { workDevice, type WorkDevice } from '../support/memory-work.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');
const analysis = truthAnalysis(truth, 'a.mp4');

beforeEach(() => {
  let made = 0;
  vi.stubGlobal('URL', Object.assign(URL, { createObjectURL: () => `blob:test/${(made += 1)}`, revokeObjectURL: () => undefined }));
});

/** Calls to the storage that have not been answered yet. */
const pending = new Set<Promise<unknown>>();

/** Waits until the storage has answered everything, and what follows from the answers has happened. */
async function settle(): Promise<void> {
  let quiet = 0;
  while (quiet < 3) {
    quiet = pending.size === 0 ? quiet + 1 : 0;
    await Promise.allSettled(pending);
    await new Promise((resolve) => setTimeout(resolve, 0));
  }
}

/** The storage, with every call noted until it is answered. */
function watched(work: WorkStorage): WorkStorage {
  return new Proxy(work, {
    get: (target, name) => (...args: readonly unknown[]) => {
      const answer = (Reflect.get(target, name) as (...given: readonly unknown[]) => Promise<unknown>)(...args);
      pending.add(answer);
      void answer.finally(() => { pending.delete(answer); });
      return answer;
    },
  });
}

const file = (name: string) => new File([`bytes of ${name}`], name, { type: 'video/mp4' });

/** A page on a device, once it has taken over as many clips as were left: its session, its engine, and the call that ends it as a reload does. */
async function page(device: WorkDevice, { left = 0, isDiskFull = () => false, version = 'engine 1' }: { readonly left?: number; readonly isDiskFull?: () => boolean; readonly version?: string } = {}) {
  const engine = fakeEngine((one, overrides) => truthReading(one, truth, overrides));
  const { work: plain, end } = device.page({ isDiskFull });
  const work = watched(plain);
  const session = createSession(engine, undefined, { storage: work, engineKey: () => version });
  await work.takeOver((clips: readonly LeftClip[]) => { session.openLeft(clips); });
  await vi.waitFor(() => { expect(session.store.getState().clips.length).toBeGreaterThanOrEqual(left); }, { timeout: 5000, interval: 5 });
  await settle();
  const clips = () => session.store.getState().clips;
  const finishNext = async () => {
    engine.jobs.at(-1)?.finish(success(analysis));
    await settle();
  };
  return { engine, session, work, end, clips, finishNext };
}

describe('a clip that was measured before', () => {
  it('opens from this device after a reload without the model, says when it was measured, and keeps its new name', async () => {
    const device = workDevice();
    const first = await page(device);
    first.session.open([file('a.mp4')]);
    await settle();
    await first.finishNext();
    expect(first.clips()[0]?.measuredAt).toBeNull();
    first.end();
    const second = await page(device);
    second.session.open([new File(['bytes of a.mp4'], 'renamed.mp4')]);
    await settle();
    expect(second.engine.jobs).toHaveLength(0);
    expect(second.clips()[0]).toMatchObject({ measuredAt: '2026-03-02T10:00:00.000Z', stage: { kind: 'done', analysis: { clip: { fileName: 'renamed.mp4' } } } });
  });

  it('is measured again for another part, another engine or other bytes, and anew when asked to with nothing changed', async () => {
    const device = workDevice();
    const first = await page(device);
    first.session.open([file('a.mp4')]);
    await settle();
    await first.finishNext();
    first.session.rerun('clip-1', { trim: { fromS: 0, toS: 1 } });
    await settle();
    expect(first.engine.jobs).toHaveLength(2);
    await first.finishNext();
    // Back to the first request: kept. Asked for once more: measured.
    first.session.rerun('clip-1', { trim: null });
    await settle();
    expect(first.engine.jobs).toHaveLength(2);
    expect(first.clips()[0]?.measuredAt).not.toBeNull();
    first.session.rerun('clip-1', {});
    await settle();
    expect(first.engine.jobs).toHaveLength(3);
    await first.finishNext();
    expect(first.clips()[0]?.measuredAt).toBeNull();
    first.session.open([file('b.mp4')]);
    await settle();
    expect(first.engine.jobs).toHaveLength(4);
    first.end();
    const newer = await page(device, { version: 'engine 2' });
    newer.session.remove('clip-1');
    newer.session.open([file('a.mp4')]);
    await settle();
    expect(newer.engine.jobs.at(-1)?.file.name).toBe('a.mp4');
  });
});

describe('clips that wait', () => {
  it('go on after a reload in their order with a sign, and nothing is left once they are measured and seen', async () => {
    const device = workDevice();
    const first = await page(device);
    first.session.open([file('a.mp4'), file('b.mp4'), file('c.mp4')]);
    await settle();
    expect(device.files.size).toBe(3);
    await first.finishNext(); // a is on screen: seen.
    expect(device.files.size).toBe(2);
    first.end();

    const second = await page(device, { left: 2 });
    expect(second.clips().map((clip) => [clip.title, clip.isLeft])).toEqual([['b.mp4', true], ['c.mp4', true]]);
    expect(second.engine.jobs.at(-1)?.file.name).toBe('b.mp4');
    expect(await second.engine.jobs.at(-1)?.file.text()).toBe('bytes of b.mp4');
    await second.finishNext();
    await second.finishNext();
    expect(second.clips().map((clip) => clip.stage.kind)).toEqual(['done', 'done']);
    // c is measured but was never on screen: it would come back.
    expect(device.files.size).toBe(1);
    second.session.select('clip-2');
    await settle();
    expect(device.files.size).toBe(0);
    second.end();
    expect((await page(device)).clips()).toEqual([]);
  });

  it('measured but unseen before a reload open at once after it, with their picture', async () => {
    const device = workDevice();
    const first = await page(device);
    first.session.open([file('a.mp4'), file('b.mp4')]);
    await settle();
    await first.finishNext();
    await first.finishNext();
    first.end();
    const second = await page(device, { left: 1 });
    expect(second.engine.jobs).toHaveLength(0);
    expect(second.clips()).toMatchObject([{ title: 'b.mp4', stage: { kind: 'done' } }]);
    expect(second.clips()[0]?.url).toMatch(/^blob:/);
  });

  it('that are cancelled or put away do not come back; one that cannot be measured does until it is seen', async () => {
    const device = workDevice();
    const first = await page(device);
    first.session.open([file('a.mp4'), file('b.mp4'), file('c.mp4')]);
    await settle();
    first.session.cancel('clip-1');
    first.session.remove('clip-2');
    await settle();
    first.engine.jobs.at(-1)?.finish(failure({ kind: 'nobody-found' }));
    await settle();
    expect(device.files.size).toBe(1);
    first.session.select('clip-3');
    await settle();
    expect(device.files.size).toBe(0);
  });

  it('are measured all the same where no copy can be put aside, and say that they would not survive', async () => {
    const device = workDevice();
    const { session, clips, finishNext } = await page(device, { isDiskFull: () => true });
    session.open([file('a.mp4')]);
    await settle();
    expect(clips()[0]?.isHeld).toBe(false);
    await finishNext();
    expect(clips()[0]?.stage.kind).toBe('done');
  });
});

describe('readings that come later', () => {
  /** An engine that reads beside the page: the test answers each reading by hand. */
  function slow() {
    const engine = fakeEngine((one, overrides) => truthReading(one, truth, overrides));
    const asked: { readonly lead: string; readonly answer: () => Promise<void> }[] = [];
    engine.read = (one, overrides) =>
      new Promise<Reading>((resolve) => {
        asked.push({
          lead: overrides.lead ?? 'proposed',
          answer: async () => {
            resolve(truthReading(one, truth, overrides));
            await settle();
          },
        });
      });
    return { asked, engine, session: createSession(engine) };
  }
  const lead = (session: ReturnType<typeof createSession>) => {
    const stage = session.store.getState().clips[0]?.stage;
    return stage?.kind === 'done' ? stage.reading.lead.value : stage?.kind;
  };

  it('one reading runs at a time, and after the last statement the last one is shown', async () => {
    const { asked, engine, session } = slow();
    session.open([file('a.mp4')]);
    engine.jobs[0]?.finish(success(analysis));
    await settle();
    expect(lead(session)).toBe('working');
    await asked[0]?.answer();
    expect(lead(session)).toBe('left');
    for (const one of ['right', 'left', 'right', 'left', 'right'] as const) session.state('clip-1', { lead: one });
    expect(asked).toHaveLength(2);
    await asked[1]?.answer();
    expect(asked.map((each) => each.lead)).toEqual(['proposed', 'right', 'right']);
    await asked[2]?.answer();
    expect(lead(session)).toBe('right');
    expect(asked).toHaveLength(3);
  });

  it('a clip that was cancelled or put away while it was read stays so', async () => {
    const { asked, engine, session } = slow();
    session.open([file('a.mp4')]);
    engine.jobs[0]?.finish(success(analysis));
    await settle();
    session.cancel('clip-1');
    await asked[0]?.answer();
    expect(session.store.getState().clips[0]?.stage).toEqual({ kind: 'failed', problem: { kind: 'cancelled' } });
  });

  it('a stored rep asked for twice while it is read opens once', async () => {
    const { asked, session } = slow();
    const rep = { saved: { repId: 'r', athleteId: 'a' }, title: 'rep', isDemo: false, file: null, analysis, stated: {} };
    session.openStored(rep);
    session.openStored(rep);
    for (const one of asked) await one.answer();
    expect(session.store.getState().clips).toHaveLength(1);
  });
});
