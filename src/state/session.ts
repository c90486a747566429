import { createStore, type StoreApi } from 'zustand/vanilla';
import type { AnalysisRequest, Progress } from '../../workers/contract.ts';
import { MOMENT_IDS, type MomentId } from '../phases/moment.ts';
import type { Analysis, Overrides, Reading } from '../reading/reading.ts';
import type { MeasureId } from '../shapes/measure.ts';
import { DEFAULT_PROFILE } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import { failure, success, type Outcome, type Problem } from '../units/outcome.ts';
import type { WaitingFacts } from '../storage/work-rows.ts';
import type { LeftClip, WorkStorage } from '../storage/work-storage.ts';
import { createDrawTimes, type DrawTimes } from './draw-times.ts';
import type { Engine } from './engine.ts';
import { EMPTY_HISTORY, redo, restate, undo, type History } from './history.ts';
import { momentOfMeasure } from './moment-of-measure.ts';
import { createPlayhead, type Playhead } from './playhead.ts';

/** How far one clip of the queue has come. */
export type ClipStage =
  | { readonly kind: 'waiting' }
  | { readonly kind: 'working'; readonly progress: Progress }
  | { readonly kind: 'failed'; readonly problem: Problem }
  | {
      readonly kind: 'done';
      readonly analysis: Analysis;
      readonly reading: Reading;
      /** What the user had stated when this was read; a newer statement is still being read where it differs. */
      readonly readUnder: Overrides;
      /** From asking for the reading to having it, milliseconds. */
      readonly readMs: number;
    };

/** Where a clip's reading is kept. */
export type SavedAs = NonNullable<WaitingFacts['saved']>;

/** The storage of the work in hand, and what tells this engine's results from those of another. */
export interface WorkKept {
  readonly storage: WorkStorage;
  readonly engineKey: (model: AnalysisRequest['model']) => string;
}

/** A saved rep to be shown again. */
export interface StoredRep {
  readonly saved: SavedAs;
  readonly title: string;
  readonly isDemo: boolean;
  /** The kept clip, null without one. */
  readonly file: File | null;
  readonly analysis: Analysis;
  readonly stated: Overrides;
}

/** One opened clip. */
export interface Clip {
  readonly id: string;
  /** Null for a saved rep whose clip was not kept (its track is there, its pictures are not), and for a clip left waiting until its turn comes. */
  readonly file: File | null;
  /** Object URL of the file, valid until the clip is removed; null without a file. */
  readonly url: string | null;
  /** What the clip is called on screen. */
  readonly title: string;
  /** True for the built-in clip of an invented athlete. */
  readonly isDemo: boolean;
  /** The rep under which it is saved, and whose; null until it is saved. */
  readonly saved: SavedAs | null;
  /** True when it was still waiting when an earlier page went. */
  readonly isLeft: boolean;
  /** False where no copy could be put aside: then it does not survive a reload. */
  readonly isHeld: boolean;
  /** When it was measured (ISO 8601), if its result was opened from this device; null when it was measured just now. */
  readonly measuredAt: string | null;
  readonly request: AnalysisRequest;
  readonly stage: ClipStage;
  readonly history: History;
}

/** What the overlay draws: the shape of the selected moment, the body lines of all moments, or nothing. */
export type OverlayMode = 'moment' | 'trace' | 'off';

/** Everything on screen but the playhead. */
export interface SessionState {
  readonly clips: readonly Clip[];
  readonly selectedId: string | null;
  readonly moment: MomentId;
  readonly measure: MeasureId | null;
  readonly overlay: OverlayMode;
  readonly isProjecting: boolean;
}

/** The running session: its state and every action on it. */
export interface Session {
  readonly store: StoreApi<SessionState>;
  readonly playhead: Playhead;
  readonly engine: Engine;
  /** How long drawing on the picture takes. */
  readonly drawTimes: DrawTimes;
  /** Puts clips into the queue and shows the first of them. */
  open(files: readonly File[]): void;
  openDemo(file: File, title: string): void;
  /** Puts clips that an earlier page left waiting into the queue, and goes on with them. */
  openLeft(clips: readonly LeftClip[]): void;
  /** Shows a saved rep from its stored track, once it is read; no model runs. A rep that is open already is only selected. */
  openStored(rep: StoredRep): void;
  /** Notes under which rep a clip is saved; null when the rep was deleted. */
  link(id: string, saved: SavedAs | null): void;
  /** Reads every measured clip again, after the coach's tolerances changed. */
  reread(): void;
  select(id: string): void;
  remove(id: string): void;
  /** Stops the work on a clip; it stays in the queue as cancelled. */
  cancel(id: string): void;
  /** Measures a clip again, with another part or another athlete; with nothing changed, anew even where a result is kept. What the user stated stays. */
  rerun(id: string, change: Partial<AnalysisRequest>): void;
  /** States something about a clip; everything is read again, and the newest statement wins. */
  state(id: string, next: Overrides): void;
  undo(id: string): void;
  redo(id: string): void;
  /** Shows a key moment; with a measure, that measure is pointed out. */
  showMoment(moment: MomentId, measure?: MeasureId): void;
  setOverlay(mode: OverlayMode): void;
  setProjecting(isProjecting: boolean): void;
}

const REQUEST: AnalysisRequest = { trim: null, athleteAt: null, model: 'full', backend: null };

/** A clip of which nothing is known yet. */
const FRESH: Omit<Clip, 'id' | 'title'> = {
  file: null, url: null, isDemo: false, saved: null, isLeft: false, isHeld: true, measuredAt: null,
  request: REQUEST,
  stage: { kind: 'waiting' },
  history: EMPTY_HISTORY,
};

const EMPTY: SessionState = {
  clips: [],
  selectedId: null,
  moment: 'set',
  measure: null,
  overlay: 'moment',
  isProjecting: false,
};

/** A clip measured now, or earlier and kept. */
interface Measured {
  readonly analysis: Analysis;
  readonly measuredAt: string | null;
}

/** What was asked of which engine, as a text: another part or another person is another result. */
function askedText({ trim, athleteAt, model, backend }: AnalysisRequest, engineKey: string): string {
  return JSON.stringify([engineKey, model, backend, trim && [trim.fromS, trim.toS], athleteAt && [athleteAt.t, athleteAt.x, athleteAt.y]]);
}

/** Goes on with a value once it is there: at once where it is no promise. A broken promise is told, and still reaches the page. */
function whenThere<T>(value: T | Promise<T>, then: (value: T) => void, onBroken?: () => void): void {
  if (!(value instanceof Promise)) {
    then(value);
    return;
  }
  void value.then(then, (broken: unknown) => {
    onBroken?.();
    throw broken;
  });
}

/** The tolerances that hold for an athlete, or for nobody in particular. */
export type ProfileFor = (athleteId: string | null) => Profile;

/** A session on the given engine. Clips are measured one after another, in the order in which they were opened. */
export function createSession(engine: Engine, profileFor: ProfileFor = () => DEFAULT_PROFILE, work: WorkKept | null = null): Session {
  const store = createStore<SessionState>(() => EMPTY);
  const playhead = createPlayhead();
  let running: { readonly id: string; readonly abort: AbortController } | null = null;
  let opened = 0;
  /** Clips that are to be measured though a result of them is kept. */
  const anew = new Set<string>();
  /** Hash of each clip that was measured with storage at hand. */
  const hashes = new Map<string, string>();

  const clip = (id: string) => store.getState().clips.find((each) => each.id === id);
  const put = (id: string, part: Partial<Clip>) => {
    store.setState((state) => ({
      clips: state.clips.map((each) => (each.id === id ? { ...each, ...part } : each)),
    }));
  };
  const selected = () => {
    const id = store.getState().selectedId;
    return id === null ? undefined : clip(id);
  };
  const readingOf = (one: Clip | undefined) =>
    one?.stage.kind === 'done' ? one.stage.reading : null;

  const read = (one: Pick<Clip, 'saved'>, analysis: Analysis, stated: Overrides): Reading | Promise<Reading> =>
    engine.read(analysis, stated, profileFor(one.saved?.athleteId ?? null));

  /** Clips that are being read again; true once something newer has been stated meanwhile. */
  const rereading = new Map<string, boolean>();

  /** Reads a measured clip under what is stated now. However fast statements come, one reading runs at a time, and the last one is of the newest. */
  const readAgain = (id: string) => {
    if (rereading.has(id)) {
      rereading.set(id, true);
      return;
    }
    const one = clip(id);
    if (one?.stage.kind !== 'done') return;
    const { analysis } = one.stage;
    const readUnder = one.history.present;
    const asked = performance.now();
    rereading.set(id, false);
    const isOver = () => {
      const isStale = rereading.get(id) === true;
      rereading.delete(id);
      return !isStale;
    };
    whenThere(read(one, analysis, readUnder), (reading) => {
      const now = clip(id);
      if (now?.stage.kind === 'done' && now.stage.analysis === analysis) put(id, { stage: { ...now.stage, reading, readUnder, readMs: performance.now() - asked } });
      if (!isOver()) readAgain(id);
    }, isOver);
  };

  /** Copies put aside, by clip: each the id of the copy, null where there is none. */
  const held = new Map<string, Promise<string | null>>();

  const hold = (one: Clip) => {
    if (work === null || one.isDemo || one.file === null || held.has(one.id)) return;
    const copy = work.storage.hold(one.file, { title: one.title, request: one.request, stated: one.history.present, saved: one.saved });
    held.set(one.id, copy);
    void copy.then((id) => { if (id === null) put(one.id, { isHeld: false }); });
  };

  /** A clip that is measured and seen, or put away, is no longer held. */
  const letGo = (id: string) => {
    const copy = held.get(id);
    held.delete(id);
    void copy?.then((at) => (at === null ? undefined : work?.storage.letGo(at)));
  };

  /** Once the user has it on screen, a clip counts as seen: what is unseen comes back after a reload. */
  const letGoOnceSeen = (id: string) => {
    const one = clip(id);
    if (store.getState().selectedId === id && (one?.stage.kind === 'done' || one?.stage.kind === 'failed')) letGo(id);
  };

  const showLeadingCue = (one: Clip) => {
    const reading = readingOf(one);
    if (reading === null) return;
    const lead = reading.cues[0]?.measure;
    const wanted = lead === undefined ? 'passe' : momentOfMeasure(lead);
    const moment = [wanted, ...MOMENT_IDS].find((id) => reading.moments[id].found) ?? wanted;
    showMoment(moment, lead);
  };

  const showMoment = (moment: MomentId, measure?: MeasureId) => {
    store.setState({ moment, measure: measure ?? null });
    const found = readingOf(selected())?.moments[moment];
    if (found?.found === true) playhead.seek(found.t);
  };

  const pump = () => {
    if (running !== null) return;
    const next = store.getState().clips.find((each) => each.stage.kind === 'waiting');
    if (next === undefined) return;
    const abort = new AbortController();
    const job = { id: next.id, abort };
    running = job;
    put(next.id, { stage: { kind: 'working', progress: { stage: 'reading', fraction: 0, secondsLeft: null } } });
    const onProgress = (progress: Progress) => {
      if (running === job) put(next.id, { stage: { kind: 'working', progress } });
    };
    const end = (outcome: Outcome<Measured>) => {
      if (running !== job) return;
      running = null;
      finish(next.id, outcome);
      pump();
    };
    measure(next, onProgress, abort.signal).then(end, (broken: unknown) => {
      // A broken call must not leave the queue hanging; the error itself still reaches the page.
      end(failure({ kind: 'analysis-stalled', stage: 'measuring' }));
      throw broken;
    });
  };

  const measure = async (one: Clip, onProgress: (progress: Progress) => void, signal: AbortSignal): Promise<Outcome<Measured>> => {
    const file = one.file ?? (await fileLeft(one));
    if (file === null) return failure({ kind: 'unreadable-file', fileName: one.title });
    const clipHash = work === null ? null : await work.storage.hashOf(file);
    const place = work === null || clipHash === null ? null : { clipHash, asked: askedText(one.request, work.engineKey(one.request.model)) };
    if (place !== null) {
      hashes.set(one.id, place.clipHash);
      const kept = anew.has(one.id) ? null : await work?.storage.resultAt(place);
      if (kept != null) return success({ measuredAt: kept.measuredAt, analysis: { ...kept.analysis, clip: { ...kept.analysis.clip, fileName: file.name } } });
    }
    if (signal.aborted) return failure({ kind: 'cancelled' });
    const outcome = await engine.analyse(file, one.request, onProgress, signal);
    if (!outcome.ok) return outcome;
    if (place !== null) void work?.storage.keepResult(place, outcome.value, clip(one.id)?.saved?.repId ?? null);
    return success({ measuredAt: null, analysis: outcome.value });
  };

  /** The bytes of a clip that an earlier page left, now that its turn has come; null when they are gone. */
  const fileLeft = async (one: Clip): Promise<File | null> => {
    const at = await held.get(one.id);
    const file = at == null || work === null ? null : await work.storage.fileOf(at);
    if (file !== null && clip(one.id) !== undefined) put(one.id, { file, url: URL.createObjectURL(file) });
    return file;
  };

  const finish = (id: string, outcome: Outcome<Measured>) => {
    anew.delete(id);
    const one = clip(id);
    if (one === undefined) return;
    if (!outcome.ok) {
      put(id, { stage: { kind: 'failed', problem: outcome.problem } });
      letGoOnceSeen(id);
      return;
    }
    const { analysis, measuredAt } = outcome.value;
    const readUnder = one.history.present;
    const { stage } = one;
    const asked = performance.now();
    whenThere(read(one, analysis, readUnder), (reading) => {
      // Cancelled, put away or asked for anew while it was read.
      if (clip(id)?.stage !== stage) return;
      put(id, { measuredAt, stage: { kind: 'done', analysis, reading, readUnder, readMs: performance.now() - asked } });
      const done = clip(id);
      if (done === undefined) return;
      if (store.getState().selectedId === id) showLeadingCue(done);
      letGoOnceSeen(id);
      if (done.history.present !== readUnder) readAgain(id);
    }, () => {
      if (clip(id)?.stage === stage) put(id, { stage: { kind: 'failed', problem: { kind: 'analysis-stalled', stage: 'measuring' } } });
    });
  };

  const stop = (id: string) => {
    if (running?.id !== id) return;
    const { abort } = running;
    running = null;
    abort.abort();
  };

  const nextId = (): string => {
    opened += 1;
    return `clip-${opened}`;
  };

  const putLast = (one: Clip) => {
    store.setState((state) => ({ clips: [...state.clips, one] }));
  };

  const add = (file: File, title: string, isDemo: boolean): string => {
    const one: Clip = { ...FRESH, id: nextId(), file, title, isDemo, url: URL.createObjectURL(file) };
    putLast(one);
    hold(one);
    return one.id;
  };

  const setHistory = (id: string, history: History) => {
    const one = clip(id);
    if (one === undefined || history === one.history) return;
    put(id, { history });
    readAgain(id);
  };

  const session: Session = {
    store,
    playhead,
    engine,
    drawTimes: createDrawTimes(),
    open(files) {
      const ids = files.map((file) => add(file, file.name, false));
      const first = ids[0];
      if (first !== undefined) session.select(first);
      pump();
    },
    openDemo(file, title) {
      session.select(add(file, title, true));
      pump();
    },
    openLeft(left) {
      for (const { id: copy, title, request, stated, saved } of left) {
        const one: Clip = { ...FRESH, id: nextId(), title, request, saved, isLeft: true, history: { ...EMPTY_HISTORY, present: stated } };
        held.set(one.id, Promise.resolve(copy));
        putLast(one);
        if (store.getState().selectedId === null) session.select(one.id);
      }
      pump();
    },
    openStored({ saved, title, isDemo, file, analysis, stated }) {
      const openAlready = (): boolean => {
        const open = store.getState().clips.find((each) => each.saved?.repId === saved.repId);
        if (open !== undefined) session.select(open.id);
        return open !== undefined;
      };
      if (openAlready()) return;
      const asked = performance.now();
      whenThere(read({ saved }, analysis, stated), (reading) => {
        if (openAlready()) return;
        const one: Clip = {
          ...FRESH, id: nextId(), file, title, isDemo, saved,
          url: file === null ? null : URL.createObjectURL(file),
          stage: { kind: 'done', analysis, reading, readUnder: stated, readMs: performance.now() - asked },
          history: { ...EMPTY_HISTORY, present: stated },
        };
        putLast(one);
        session.select(one.id);
      });
    },
    link(id, saved) {
      const one = clip(id);
      if (one === undefined) return;
      put(id, { saved });
      const clipHash = hashes.get(id);
      if (saved !== null && clipHash !== undefined) void work?.storage.linkResults(clipHash, saved.repId);
      session.reread();
    },
    reread() {
      for (const { id } of store.getState().clips) readAgain(id);
    },
    select(id) {
      playhead.pause();
      store.setState({ selectedId: id, measure: null });
      const one = clip(id);
      if (one !== undefined) showLeadingCue(one);
      letGoOnceSeen(id);
    },
    remove(id) {
      stop(id);
      letGo(id);
      const one = clip(id);
      if (one === undefined) return;
      const { clips, selectedId } = store.getState();
      const rest = clips.filter((each) => each.id !== id);
      const next = selectedId === id ? (rest.at(-1)?.id ?? null) : selectedId;
      store.setState({ clips: rest, selectedId: next, ...(next === null ? { isProjecting: false } : {}) });
      if (one.url !== null) URL.revokeObjectURL(one.url);
      if (next !== null && next !== selectedId) session.select(next);
      pump();
    },
    cancel(id) {
      const one = clip(id);
      if (one === undefined || (one.stage.kind !== 'working' && one.stage.kind !== 'waiting')) return;
      stop(id);
      letGo(id);
      put(id, { stage: { kind: 'failed', problem: { kind: 'cancelled' } } });
      pump();
    },
    rerun(id, change) {
      const one = clip(id);
      if (one === undefined || one.file === null) return;
      stop(id);
      const request = { ...one.request, ...change };
      if (askedText(request, '') === askedText(one.request, '')) anew.add(id);
      put(id, { request, stage: { kind: 'waiting' }, measuredAt: null });
      hold({ ...one, request });
      pump();
    },
    state(id, next) {
      const one = clip(id);
      if (one !== undefined) setHistory(id, restate(one.history, next));
    },
    undo(id) {
      const one = clip(id);
      if (one !== undefined) setHistory(id, undo(one.history));
    },
    redo(id) {
      const one = clip(id);
      if (one !== undefined) setHistory(id, redo(one.history));
    },
    showMoment,
    setOverlay: (overlay) => {
      store.setState({ overlay });
    },
    setProjecting: (isProjecting) => {
      store.setState({ isProjecting });
    },
  };
  return session;
}
