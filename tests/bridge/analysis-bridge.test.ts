import { expose } from 'comlink';
import fc from 'fast-check';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import { divideFrames, joinAnew, mergeFollowed, OVERLAP_FRAMES, type Found } from '../../src/bridge/merge-followed.ts';
import { poolSize, workersFor } from '../../src/bridge/pool-size.ts';
import { Watchdog } from '../../src/bridge/watchdog.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';
import { failure, success } from '../../src/units/outcome.ts';
import type { AnalysisRequest, AnalysisWorker, Followed, FollowEvents, FollowTask, Opened, RunStart } from '../../workers/contract.ts';

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

const BOX = { x: 0, y: 0, width: 10, height: 30 };

/** What a search of 200 frames at 100 a second would answer. */
const FOUND: Found = {
  clip: {
    fileName: 'clip.mp4', sizeBytes: 1, container: 'MP4', codec: 'avc', widthPx: 100, heightPx: 100, rotationDeg: 0, durationS: 2,
    fps: { min: 100, median: 100, max: 100 }, frameCount: 200, isHdr: false, timeBase: { kind: 'known' },
  },
  people: [], athlete: { sightings: [{ t: 0, box: BOX, score: 1 }] }, part: { fromS: 0, toS: 2, proposed: true },
  frames: Int32Array.from({ length: 200 }, (_, i) => i), likelyNeeded: 200, backend: 'wasm', engineVersion: 'test', openMs: 0, prepareMs: 0, findMs: 0,
};

/** The same clip as a worker opens it, and the look that finds one person in every frame looked at. */
const OPENED: Opened = { clip: FOUND.clip, times: Float64Array.from({ length: 200 }, (_, i) => i / 100), keyFrames: [0] };
const SEARCH: Pick<AnalysisWorker, 'open' | 'prepare' | 'look'> = {
  open: () => Promise.resolve(success(OPENED)),
  prepare: (_model, backend) => Promise.resolve(success(backend ?? 'wasm')),
  look: (_id, _file, { frames }) => Promise.resolve(success({ probes: frames.map((frame) => ({ t: frame / 100, people: [{ box: BOX, score: 1 }] })), failedAtS: null })),
};
const spanOf = ({ frames }: FollowTask): readonly [number, number] => [frames[0] ?? Number.NaN, (frames.at(-1) ?? Number.NaN) + 1];

/** Regions as a tracker on its grid would give them: from the frame's number alone, but for the first frames of a start from the path. */
function regionsOf(from: number, to: number, settles: number): Float64Array {
  return Float64Array.from({ length: (to - from) * 4 }, (_, k) => {
    const i = Math.floor(k / 4);
    return from + i + (i < settles ? 0.5 : 0);
  });
}

/** Every frame's landmarks hold the frame's own number; the body is upside down from frame `handsFrom` on. */
function followed(from: number, to: number, handsFrom = Infinity, failedAtS: number | null = null, settles = 0): Followed {
  const frames = to - from;
  const xy = new Float32Array(frames * LANDMARK_COUNT * 2);
  for (let i = 0; i < frames; i += 1) {
    const sign = from + i >= handsFrom ? -1 : 1;
    xy.fill(from + i, i * 66, i * 66 + 66);
    for (const [name, up] of [['leftHip', 0], ['rightHip', 0], ['leftShoulder', 50], ['rightShoulder', 50], ['leftWrist', 90], ['rightWrist', 90]] as const) {
      xy[i * 66 + LANDMARK_INDEX[name] * 2 + 1] = 200 - sign * up;
    }
  }
  const each = (value: number): Float32Array => new Float32Array(frames).fill(value);
  return {
    times: Float64Array.from({ length: frames }, (_, i) => (from + i) / 100), xy,
    score: new Float32Array(frames * LANDMARK_COUNT).fill(1), sd: new Float32Array(frames * LANDMARK_COUNT).fill(Number.NaN),
    regions: regionsOf(from, to, settles), heightPx: each(30), brightness: each(0.5), sharpness: each(0.2), backgroundSteps: new Float64Array(3 * (to - from)), modelId: 'test-model', failedAtS, decodeMs: 1, copyMs: 1, inferMs: 1, qualityMs: 1,
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
    const source = workers(() => ({ ...SEARCH, look: forever }));
    const bridge = new AnalysisBridge(source, 60, 1);
    const seen: string[] = [];
    const outcome = await bridge.analyse(live(), FILE, REQUEST, ({ stage }) => seen.push(stage));
    expect(outcome).toEqual(failure({ kind: 'analysis-stalled', stage: 'finding' }));
    expect(seen).toEqual(['reading', 'preparing', 'finding']);
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

describe('models loaded ahead of the first clip', () => {
  /** Workers whose loading the test ends; counts what each was asked to load. */
  function loading() {
    const asked: number[] = [];
    const ends: (() => void)[] = [];
    const source = workers(() => {
      const index = asked.push(0) - 1;
      return {
        ...SEARCH,
        prepare: async (_model: unknown, backend: AnalysisRequest['backend']) => {
          asked[index] = (asked[index] ?? 0) + 1;
          if (asked[index] === 1) await new Promise<void>((resolve) => { ends.push(resolve); });
          return success(backend ?? 'wasm');
        },
        follow: (_id: number, _file: File, task: FollowTask) => Promise.resolve(success(followed(...spanOf(task)))),
      };
    });
    return { source, asked, ends };
  }

  it('a clip that comes meanwhile waits for the first worker alone, and none is asked to load twice at once', async () => {
    const { source, asked, ends } = loading();
    const bridge = new AnalysisBridge(source, 20_000, 2);
    bridge.warmUp('full');
    await vi.waitFor(() => { expect(asked).toEqual([1]); });
    const outcome = bridge.analyse(live(), FILE, REQUEST, () => undefined);
    ends[0]?.();
    expect((await outcome).ok).toBe(true);
    // The first is asked again for the clip, which costs nothing once they are there; the second still loads.
    expect(asked).toEqual([2, 1]);
    bridge.close();
  });

  it('cancelling the clip that waits leaves the loading alone', async () => {
    const { source, asked, ends } = loading();
    const bridge = new AnalysisBridge(source, 20_000, 2);
    bridge.warmUp('full');
    await vi.waitFor(() => { expect(asked).toEqual([1]); });
    const controller = new AbortController();
    const outcome = bridge.analyse(controller.signal, FILE, REQUEST, () => undefined);
    controller.abort();
    expect(await outcome).toEqual(failure({ kind: 'cancelled' }));
    expect(source.counts).toEqual({ started: 1, ended: 0 });
    ends[0]?.();
    await vi.waitFor(() => { expect(asked).toEqual([1, 1]); });
    bridge.close();
  });
});

describe('several workers share the frames', () => {
  const answering = (handsFrom?: number, settles = 5) => workers(() => ({
    ...SEARCH,
    follow: (_id: number, _file: File, task: FollowTask) => {
      const [from, to] = spanOf(task);
      return Promise.resolve(success(followed(from, to, handsFrom, null, task.start === null && from > 0 ? settles : 0)));
    },
    stopFollowing: () => undefined,
  }));

  it.each([1, 2, 3])('with %i the track is the same: every frame once, in order', async (pool) => {
    const source = answering();
    const bridge = new AnalysisBridge(source, 20_000, pool);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    const { track, profile, quality } = outcome.value;
    expect([...track.times]).toEqual(Array.from({ length: 200 }, (_, i) => i / 100));
    expect(Array.from({ length: 200 }, (_, i) => track.xy[i * 66])).toEqual(Array.from({ length: 200 }, (_, i) => i));
    expect(track.model).toBe('test-model');
    expect(quality.athleteHeightPx).toBe(30);
    expect(profile).toMatchObject({ frames: 200, workers: pool });
    expect(source.counts.started).toBe(pool);
    bridge.close();
    expect(source.counts.ended).toBe(pool);
  });

  it('a run that never agrees with the one before is followed again from where that one ended', async () => {
    const asked: FollowTask[] = [];
    const source = workers(() => ({
      ...SEARCH,
      follow: (_id: number, _file: File, task: FollowTask) => {
        asked.push(task);
        const [from, to] = spanOf(task);
        return Promise.resolve(success(followed(from, to, Infinity, null, task.start === null && from > 0 ? 1000 : 0)));
      },
    }));
    const bridge = new AnalysisBridge(source, 20_000, 3);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    expect([...outcome.value.track.times]).toEqual(Array.from({ length: 200 }, (_, i) => i / 100));
    // Cut at 71 and 135. The workers' calls may arrive in any order; the last two are the runs that are followed again.
    expect(asked.slice(0, 3).map(spanOf).sort((a, b) => a[0] - b[0])).toEqual([[0, 71 + OVERLAP_FRAMES], [71, 135 + OVERLAP_FRAMES], [135, 200]]);
    expect(asked.slice(3).map(spanOf)).toEqual([[71 + OVERLAP_FRAMES, 135 + OVERLAP_FRAMES], [135 + OVERLAP_FRAMES, 200]]);
    const at = 71 + OVERLAP_FRAMES - 1;
    // Two at once would jump to and fro: only the first is shown.
    expect(asked.filter(({ isShown }) => isShown).map((task) => spanOf(task)[0])).toEqual([0]);
    expect(asked[3]?.start?.last).toEqual({ t: at / 100, crop: { centreX: at, centreY: at, sidePx: at, rotationRad: at } });
    bridge.close();
  });

  it('a run ends where it agrees with the one that began in its last frames, and the track is the same', async () => {
    const heard: RunStart[] = [];
    const source = workers(() => {
      let end: (last: number) => void = () => undefined;
      return {
        ...SEARCH,
        async follow(_id: number, _file: File, task: FollowTask, events: FollowEvents) {
          const [from, to] = spanOf(task);
          const ended = new Promise<number>((resolve) => { end = resolve; });
          if (from > 0) {
            const frames = task.frames.slice(0, task.settleFrames);
            events.onSettled({ frames, regions: regionsOf(from, from + frames.length, 3) });
          }
          return success(followed(from, to === 200 ? 200 : await ended, Infinity, null, from > 0 ? 3 : 0));
        },
        stopWhereAgreeing(next: RunStart) {
          heard.push(next);
          // The first three frames have not settled; the next two agree.
          end((next.frames[0] ?? Number.NaN) + 5);
        },
      };
    });
    const bridge = new AnalysisBridge(source, 20_000, 3);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    expect([...outcome.value.track.times]).toEqual(Array.from({ length: 200 }, (_, i) => i / 100));
    expect(heard.map(({ frames }) => [...frames]).sort(([a], [b]) => Number(a) - Number(b))).toEqual([71, 135].map((from) => Array.from({ length: OVERLAP_FRAMES }, (_, i) => from + i)));
    bridge.close();
  });

  it('whoever follows begins anew in the middle, whether alone or at the start of a run: the run before goes one frame into it', async () => {
    for (const [pool, spans, anewAt] of [[1, [[0, 200]], [103]], [2, [[0, 104], [103, 200]], [null, null]], [3, [[0, 87], [71, 151], [135, 200]], [null, 103, null]]] as const) {
      const asked: FollowTask[] = [];
      const source = workers(() => ({
        ...SEARCH,
        follow: (_id: number, _file: File, task: FollowTask) => {
          asked.push(task);
          return Promise.resolve(success(followed(...spanOf(task))));
        },
      }));
      const bridge = new AnalysisBridge(source, 20_000, pool);
      expect((await bridge.analyse(live(), FILE, REQUEST, () => undefined)).ok).toBe(true);
      asked.sort((a, b) => spanOf(a)[0] - spanOf(b)[0]);
      expect(asked.map(spanOf)).toEqual(spans);
      expect(asked.map((task) => task.anewAt)).toEqual(anewAt);
      bridge.close();
    }
  });

  it('a run that begins anew on somebody else is followed again after the frame in which the one before still saw the athlete', async () => {
    const asked: FollowTask[] = [];
    const source = workers(() => ({
      ...SEARCH,
      follow: (_id: number, _file: File, task: FollowTask) => {
        asked.push(task);
        const [from, to] = spanOf(task);
        const run = followed(from, to);
        // A whole side away from where the run before is at frame 103.
        if (from === 103) run.regions.forEach((value, k) => { run.regions[k] = value + (k % 4 === 0 ? 110 : 0); });
        return Promise.resolve(success(run));
      },
    }));
    const bridge = new AnalysisBridge(source, 20_000, 2);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    expect([...outcome.value.track.times]).toEqual(Array.from({ length: 200 }, (_, i) => i / 100));
    expect(asked.slice(2).map((task) => [...spanOf(task), task.start?.last.t, task.anewAt])).toEqual([[104, 200, 1.03, null]]);
    bridge.close();
  });

  it('where a run begins anew the background’s step into its first frame is the one that the run before saw', () => {
    const [before, next] = [followed(0, 101), followed(100, 200)];
    before.backgroundSteps.fill(0.5);
    next.backgroundSteps.fill(2, 3);
    const joined = joinAnew({ runs: [before], end: 101 }, next, 100);
    expect(joined?.end).toBe(200);
    expect(joined?.runs.map(({ times }) => times.length)).toEqual([100, 100]);
    expect(joined?.runs.flatMap(({ backgroundSteps }) => [...backgroundSteps])).toEqual([...Array.from({ length: 303 }, () => 0.5), ...Array.from({ length: 297 }, () => 2)]);
    expect(joinAnew({ runs: [followed(0, 99)], end: 99 }, next, 100)).toBeNull();
  });

  it('upside down from frame 60 the track ends 0.35 s later, whoever measured it', async () => {
    for (const pool of [1, 2, 3]) {
      const bridge = new AnalysisBridge(answering(60), 20_000, pool);
      const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
      if (!outcome.ok) throw new Error(outcome.problem.kind);
      expect(outcome.value.track.times).toHaveLength(95);
      expect(outcome.value.part.toS).toBeCloseTo(0.94, 9);
      bridge.close();
    }
  });

  it('frames after a broken run are left out: a track has no hole', async () => {
    const source = workers(() => ({
      ...SEARCH,
      follow: (_id: number, _file: File, task: FollowTask) =>
        Promise.resolve(success(task.frames[0] === 0 ? followed(0, 50, Infinity, 0.5) : followed(...spanOf(task)))),
      stopFollowing: () => undefined,
    }));
    const bridge = new AnalysisBridge(source, 20_000, 2);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    expect(outcome.value.track.times).toHaveLength(50);
    expect(outcome.value.stoppedAtS).toBe(0.5);
    bridge.close();
  });

  it('a decoder that gives nothing is a problem, and so is an athlete in no frame', () => {
    expect(mergeFollowed(FOUND, [followed(0, 0, Infinity, 0)], 1, 1)).toEqual(failure({ kind: 'decoder-failed', fileName: 'clip.mp4', atS: 0 }));
    const nobody = followed(0, 20);
    nobody.heightPx.fill(Number.NaN);
    expect(mergeFollowed(FOUND, [nobody], 1, 1)).toEqual(failure({ kind: 'nobody-found' }));
  });

  it('runs cover every frame, are at most as many as asked, and meet at the place to begin anew, which is the same for all', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.integer({ min: 1, max: 4 }), fc.nat(6000), (length, count, likely) => {
        const { runs, anewAt } = divideFrames(length, count, likely);
        expect(anewAt).toBe(divideFrames(length, 1, likely).anewAt);
        expect(anewAt === null).toBe(Math.min(likely, length) < 80);
        expect(runs.length).toBeLessThanOrEqual(count);
        expect(runs[0]?.from).toBe(0);
        expect(runs.at(-1)?.to).toBe(length);
        if (anewAt !== null && runs.length % 2 === 0) expect(runs.map(({ from }) => from)).toContain(anewAt);
        runs.forEach((run, i) => {
          const next = runs[i + 1];
          // The frames that are likely needed are shared to within one, six more for the first; what lies beyond them goes to the last.
          if (next !== undefined) expect(Math.abs(next.from - run.from - (Math.min(likely, length) - 6) / runs.length - (i === 0 ? 6 : 0))).toBeLessThanOrEqual(1);
          if (next !== undefined) expect(run.to).toBe(Math.min(length, next.from + (next.from === anewAt ? 1 : OVERLAP_FRAMES)));
          expect(run.to).toBeGreaterThan(run.from);
        });
      }),
    );
  });

  it('a graphics card lost in the middle: the clip is measured again on wasm, whole', async () => {
    const asked: unknown[] = [];
    const source = workers(() => ({
      ...SEARCH,
      prepare: (_model: unknown, backend: AnalysisRequest['backend']) => {
        asked.push(backend);
        return Promise.resolve(success(backend ?? 'webgl'));
      },
      follow: (_id: number, _file: File, task: FollowTask) =>
        Promise.resolve(task.backend === 'webgl' ? failure({ kind: 'backend-unavailable', tried: ['webgl'] }) : success(followed(...spanOf(task)))),
    }));
    const bridge = new AnalysisBridge(source, 20_000, 2);
    const outcome = await bridge.analyse(live(), FILE, REQUEST, () => undefined);
    expect(outcome.ok && outcome.value.track.backend).toBe('wasm');
    // Once it is settled where the models run, the second worker is asked to load them too.
    expect(asked).toEqual([null, 'webgl', 'wasm', 'wasm']);
    bridge.close();
  });

  it.each([[1, 1], [2, 2], [3, 2], [4, 3], [16, 3]])('%i cores give %i workers', (hardwareConcurrency, expected) => {
    expect(poolSize({ hardwareConcurrency })).toBe(expected);
  });
  it('a graphics card is shared by at most two of them, the processor by all', () => {
    expect((['wasm', 'webgl', 'webgpu'] as const).map((backend) => [1, 2, 3].map((pool) => workersFor(backend, pool)))).toEqual([[1, 2, 3], [1, 2, 2], [1, 2, 2]]);
  });
  it('a small phone keeps one', () => {
    expect(poolSize({ hardwareConcurrency: 8, deviceMemory: 1 })).toBe(1);
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
