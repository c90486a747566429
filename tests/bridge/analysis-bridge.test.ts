import { expose } from 'comlink';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import { Watchdog } from '../../src/bridge/watchdog.ts';
import { failure, success } from '../../src/units/outcome.ts';
import type { AnalysisWorker, Progress } from '../../workers/contract.ts';

const REQUEST = { trim: null, athleteAt: null, model: 'full' as const, backend: null };
const FILE = new File(['x'], 'clip.mp4');
const live = (): AbortSignal => new AbortController().signal;

/** A worker on a message channel: same thread, same messages. Counts how often one was started and ended. */
function workers(make: () => Partial<AnalysisWorker>) {
  const counts = { started: 0, ended: 0 };
  return {
    counts,
    start(): Worker {
      counts.started += 1;
      const { port1, port2 } = new MessageChannel();
      expose(make(), port2);
      const worker = port1 as unknown as Worker;
      worker.terminate = () => {
        counts.ended += 1;
        port1.close();
        port2.close();
      };
      return worker;
    },
  };
}

const forever = (): Promise<never> => new Promise(() => undefined);

afterEach(() => {
  vi.useRealTimers();
});

describe('the bridge', () => {
  it('hands a problem through as a plain value', async () => {
    const source = workers(() => ({ inspect: () => Promise.resolve(failure({ kind: 'empty-file', fileName: 'clip.mp4' })) }));
    const bridge = new AnalysisBridge(source);
    expect(await bridge.inspect(live(), FILE)).toEqual(failure({ kind: 'empty-file', fileName: 'clip.mp4' }));
    bridge.close();
  });

  it('keeps one worker for many calls and runs them one after another', async () => {
    const order: string[] = [];
    const source = workers(() => ({
      stills: async (_file: File, times: readonly number[]) => {
        order.push(`begin ${times[0]}`);
        await Promise.resolve();
        order.push(`end ${times[0]}`);
        return success([]);
      },
    }));
    const bridge = new AnalysisBridge(source);
    await Promise.all([bridge.stills(live(), FILE, [1], 320), bridge.stills(live(), FILE, [2], 320)]);
    expect(order).toEqual(['begin 1', 'end 1', 'begin 2', 'end 2']);
    expect(source.counts).toEqual({ started: 1, ended: 0 });
    bridge.close();
  });

  it('abort answers "cancelled", ends the worker, and the next call starts a new one', async () => {
    let first = true;
    const source = workers(() => {
      const isFirst = first;
      first = false;
      return { inspect: () => (isFirst ? forever() : Promise.resolve(failure({ kind: 'nobody-found' }))) };
    });
    const bridge = new AnalysisBridge(source);
    const controller = new AbortController();
    const answer = bridge.inspect(controller.signal, FILE);
    await new Promise((resolve) => setTimeout(resolve, 5));
    controller.abort();
    expect(await answer).toEqual(failure({ kind: 'cancelled' }));
    expect(source.counts).toEqual({ started: 1, ended: 1 });
    expect(await bridge.inspect(live(), FILE)).toEqual(failure({ kind: 'nobody-found' }));
    expect(source.counts.started).toBe(2);
    bridge.close();
  });

  it('aborting a call that still waits leaves the running one alone', async () => {
    let release: () => void = () => undefined;
    const source = workers(() => ({
      inspect: () => new Promise((resolve) => {
        release = () => {
          resolve(failure({ kind: 'nobody-found' }));
        };
      }),
    }));
    const bridge = new AnalysisBridge(source);
    const running = bridge.inspect(live(), FILE);
    const controller = new AbortController();
    const waiting = bridge.inspect(controller.signal, FILE);
    controller.abort();
    expect(await waiting).toEqual(failure({ kind: 'cancelled' }));
    await vi.waitFor(() => {
      release();
    });
    await new Promise((resolve) => setTimeout(resolve, 5));
    release();
    expect(await running).toEqual(failure({ kind: 'nobody-found' }));
    expect(source.counts.ended).toBe(0);
    bridge.close();
  });

  it('a worker that falls silent is given up with the stage it was in; progress keeps it alive', async () => {
    const source = workers(() => ({
      analyse: async (_file: File, _request: unknown, onProgress: (progress: Progress) => void) => {
        onProgress({ stage: 'finding', fraction: 0.2, secondsLeft: null });
        return forever();
      },
    }));
    const bridge = new AnalysisBridge(source, 60);
    const seen: Progress[] = [];
    const outcome = await bridge.analyse(live(), FILE, REQUEST, (progress) => seen.push(progress));
    expect(outcome).toEqual(failure({ kind: 'analysis-stalled', stage: 'finding' }));
    expect(seen).toHaveLength(1);
    expect(source.counts.ended).toBe(1);
  });

  it('a broken call rejects, and the queue goes on', async () => {
    let calls = 0;
    const source = workers(() => ({
      inspect: () => {
        calls += 1;
        if (calls === 1) throw new RangeError('broken');
        return Promise.resolve(failure({ kind: 'nobody-found' as const }));
      },
    }));
    const bridge = new AnalysisBridge(source);
    await expect(bridge.inspect(live(), FILE)).rejects.toThrow('broken');
    expect(await bridge.inspect(live(), FILE)).toEqual(failure({ kind: 'nobody-found' }));
    bridge.close();
  });
});

describe('the watchdog', () => {
  it('barks once after 20 s of silence, not before, and not while fed', () => {
    vi.useFakeTimers();
    const bark = vi.fn();
    const watchdog = new Watchdog(20_000, bark);
    watchdog.feed();
    vi.advanceTimersByTime(19_999);
    watchdog.feed();
    vi.advanceTimersByTime(19_999);
    expect(bark).not.toHaveBeenCalled();
    vi.advanceTimersByTime(1);
    expect(bark).toHaveBeenCalledTimes(1);
    vi.advanceTimersByTime(100_000);
    expect(bark).toHaveBeenCalledTimes(1);
  });
  it('stopped, it stays silent', () => {
    vi.useFakeTimers();
    const bark = vi.fn();
    const watchdog = new Watchdog(10, bark);
    watchdog.feed();
    watchdog.stop();
    vi.advanceTimersByTime(100);
    expect(bark).not.toHaveBeenCalled();
  });
  it('a limit of 0 is a broken call', () => {
    expect(() => new Watchdog(0, () => undefined)).toThrow(RangeError);
  });
});
