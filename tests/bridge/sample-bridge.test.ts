import { expose } from 'comlink';
import { describe, expect, it } from 'vitest';
import { SampleBridge } from '../../src/bridge/sample-bridge.ts';
import { failure } from '../../src/units/outcome.ts';

/** A worker in this thread that answers looks as told. */
function fakeWorker(sample: (file: File, onAlive: () => void) => Promise<unknown>) {
  const { port1, port2 } = new MessageChannel();
  expose({ sample }, port2);
  port2.start();
  port1.start();
  const errors = new Set<() => void>();
  const state = { isEnded: false };
  const worker = {
    postMessage: port1.postMessage.bind(port1),
    addEventListener: (type: string, listener: () => void) => { if (type === 'error') errors.add(listener); else port1.addEventListener(type, listener); },
    removeEventListener: (type: string, listener: () => void) => { if (type === 'error') errors.delete(listener); else port1.removeEventListener(type, listener); },
    terminate: () => {
      state.isEnded = true;
      port1.close();
      port2.close();
    },
  } as unknown as Worker;
  return { worker, state, die: () => { for (const listener of errors) listener(); } };
}
const file = new File(['x'], 'a.jpg');
const never = () => new Promise<never>(() => undefined);

describe('looking at a sample', () => {
  it('hands back what the worker says, problems as values', async () => {
    const { worker } = fakeWorker(() => Promise.resolve(failure({ kind: 'picture-unreadable', fileName: 'a.jpg' })));
    const bridge = new SampleBridge({ start: () => worker });
    expect(await bridge.look(new AbortController().signal, file)).toEqual(failure({ kind: 'picture-unreadable', fileName: 'a.jpg' }));
    bridge.close();
  });
  it('aborting ends the worker and the call; the next look starts another', async () => {
    const first = fakeWorker(never);
    const second = fakeWorker(() => Promise.resolve(failure({ kind: 'empty-file', fileName: 'a.jpg' })));
    const workers = [first, second];
    let started = 0;
    const bridge = new SampleBridge({ start: () => workers[started++]!.worker });
    const abort = new AbortController();
    const answer = bridge.look(abort.signal, file);
    abort.abort();
    expect(await answer).toEqual(failure({ kind: 'cancelled' }));
    expect(first.state.isEnded).toBe(true);
    expect(await bridge.look(new AbortController().signal, file)).toMatchObject({ ok: false, problem: { kind: 'empty-file' } });
    expect(await bridge.look(abort.signal, file)).toEqual(failure({ kind: 'cancelled' }));
    bridge.close();
  });
  it('a worker that falls silent, or dies, is given up', async () => {
    const silent = fakeWorker(never);
    expect(await new SampleBridge({ start: () => silent.worker }, 20).look(new AbortController().signal, file)).toMatchObject({ ok: false, problem: { kind: 'analysis-stalled' } });
    expect(silent.state.isEnded).toBe(true);
    const dying = fakeWorker(never);
    const answer = new SampleBridge({ start: () => dying.worker }).look(new AbortController().signal, file);
    dying.die();
    expect(await answer).toMatchObject({ ok: false, problem: { kind: 'analysis-stalled' } });
  });
});
