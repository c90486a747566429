import { createStore, type StoreApi } from 'zustand/vanilla';
import type { AnalysisRequest, Progress } from '../../workers/contract.ts';
import { MOMENT_IDS, type MomentId } from '../phases/moment.ts';
import type { Analysis, Overrides, Reading } from '../reading/reading.ts';
import type { MeasureId } from '../shapes/measure.ts';
import { DEFAULT_PROFILE } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import { failure, type Outcome, type Problem } from '../units/outcome.ts';
import type { Engine } from './engine.ts';
import { EMPTY_HISTORY, redo, restate, undo, type History } from './history.ts';
import { momentOfMeasure } from './moment-of-measure.ts';
import { createPlayhead, type Playhead } from './playhead.ts';

/** How far one clip of the queue has come. */
export type ClipStage =
  | { readonly kind: 'waiting' }
  | { readonly kind: 'working'; readonly progress: Progress }
  | { readonly kind: 'failed'; readonly problem: Problem }
  | { readonly kind: 'done'; readonly analysis: Analysis; readonly reading: Reading };

/** Where a clip's reading is kept. */
export interface SavedAs {
  readonly repId: string;
  readonly athleteId: string;
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
  /** Null for a saved rep whose clip was not kept: its track is there, its pictures are not. */
  readonly file: File | null;
  /** Object URL of the file, valid until the clip is removed; null without a file. */
  readonly url: string | null;
  /** What the clip is called on screen. */
  readonly title: string;
  /** True for the built-in clip of an invented athlete. */
  readonly isDemo: boolean;
  /** The rep under which it is saved, and whose; null until it is saved. */
  readonly saved: SavedAs | null;
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
  /** Puts clips into the queue and shows the first of them. */
  open(files: readonly File[]): void;
  openDemo(file: File, title: string): void;
  /** Shows a saved rep from its stored track at once; no model runs. A rep that is open already is only selected. */
  openStored(rep: StoredRep): void;
  /** Notes under which rep a clip is saved; null when the rep was deleted. */
  link(id: string, saved: SavedAs | null): void;
  /** Reads every measured clip again, after the coach's tolerances changed. */
  reread(): void;
  select(id: string): void;
  remove(id: string): void;
  /** Stops the work on a clip; it stays in the queue as cancelled. */
  cancel(id: string): void;
  /** Measures a clip again, with another part or another athlete. What the user stated stays. */
  rerun(id: string, change: Partial<AnalysisRequest>): void;
  /** States something about a clip; everything is read again at once. */
  state(id: string, next: Overrides): void;
  undo(id: string): void;
  redo(id: string): void;
  /** Shows a key moment; with a measure, that measure is pointed out. */
  showMoment(moment: MomentId, measure?: MeasureId): void;
  setOverlay(mode: OverlayMode): void;
  setProjecting(isProjecting: boolean): void;
}

const REQUEST: AnalysisRequest = { trim: null, athleteAt: null, model: 'full', backend: null };

const EMPTY: SessionState = {
  clips: [],
  selectedId: null,
  moment: 'set',
  measure: null,
  overlay: 'moment',
  isProjecting: false,
};

/** The tolerances that hold for an athlete, or for nobody in particular. */
export type ProfileFor = (athleteId: string | null) => Profile;

/** A session on the given engine. Clips are measured one after another, in the order in which they were opened. */
export function createSession(engine: Engine, profileFor: ProfileFor = () => DEFAULT_PROFILE): Session {
  const store = createStore<SessionState>(() => EMPTY);
  const playhead = createPlayhead();
  let running: { readonly id: string; readonly abort: AbortController } | null = null;
  let opened = 0;

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

  const read = (one: Pick<Clip, 'saved'>, analysis: Analysis, stated: Overrides): Reading =>
    engine.read(analysis, stated, profileFor(one.saved?.athleteId ?? null));

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
    if (next === undefined || next.file === null) return;
    const abort = new AbortController();
    const job = { id: next.id, abort };
    running = job;
    put(next.id, { stage: { kind: 'working', progress: { stage: 'reading', fraction: 0, secondsLeft: null } } });
    const onProgress = (progress: Progress) => {
      if (running === job) put(next.id, { stage: { kind: 'working', progress } });
    };
    const end = (outcome: Outcome<Analysis>) => {
      if (running !== job) return;
      running = null;
      finish(next.id, outcome);
      pump();
    };
    engine.analyse(next.file, next.request, onProgress, abort.signal).then(end, (broken: unknown) => {
      // A broken call must not leave the queue hanging; the error itself still reaches the page.
      end(failure({ kind: 'analysis-stalled', stage: 'measuring' }));
      throw broken;
    });
  };

  const finish = (id: string, outcome: Outcome<Analysis>) => {
    const one = clip(id);
    if (one === undefined) return;
    if (!outcome.ok) {
      put(id, { stage: { kind: 'failed', problem: outcome.problem } });
      return;
    }
    const analysis = outcome.value;
    put(id, { stage: { kind: 'done', analysis, reading: read(one, analysis, one.history.present) } });
    const done = clip(id);
    if (done !== undefined && store.getState().selectedId === id) showLeadingCue(done);
  };

  const stop = (id: string) => {
    if (running?.id !== id) return;
    const { abort } = running;
    running = null;
    abort.abort();
  };

  const add = (file: File, title: string, isDemo: boolean): string => {
    opened += 1;
    const id = `clip-${opened}`;
    const one: Clip = {
      id, file, title, isDemo,
      saved: null,
      url: URL.createObjectURL(file),
      request: REQUEST,
      stage: { kind: 'waiting' },
      history: EMPTY_HISTORY,
    };
    store.setState((state) => ({ clips: [...state.clips, one] }));
    return id;
  };

  const setHistory = (id: string, history: History) => {
    const one = clip(id);
    if (one === undefined || history === one.history) return;
    const stage: ClipStage =
      one.stage.kind === 'done'
        ? { ...one.stage, reading: read(one, one.stage.analysis, history.present) }
        : one.stage;
    put(id, { history, stage });
  };

  const session: Session = {
    store,
    playhead,
    engine,
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
    openStored({ saved, title, isDemo, file, analysis, stated }) {
      const open = store.getState().clips.find((each) => each.saved?.repId === saved.repId);
      if (open !== undefined) {
        session.select(open.id);
        return;
      }
      opened += 1;
      const one: Clip = {
        id: `clip-${opened}`, file, title, isDemo, saved,
        url: file === null ? null : URL.createObjectURL(file),
        request: REQUEST,
        stage: { kind: 'done', analysis, reading: read({ saved }, analysis, stated) },
        history: { ...EMPTY_HISTORY, present: stated },
      };
      store.setState((state) => ({ clips: [...state.clips, one] }));
      session.select(one.id);
    },
    link(id, saved) {
      const one = clip(id);
      if (one === undefined) return;
      put(id, { saved });
      session.reread();
    },
    reread() {
      store.setState((state) => ({
        clips: state.clips.map((each) =>
          each.stage.kind === 'done' ? { ...each, stage: { ...each.stage, reading: read(each, each.stage.analysis, each.history.present) } } : each),
      }));
    },
    select(id) {
      playhead.pause();
      store.setState({ selectedId: id, measure: null });
      const one = clip(id);
      if (one !== undefined) showLeadingCue(one);
    },
    remove(id) {
      stop(id);
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
      put(id, { stage: { kind: 'failed', problem: { kind: 'cancelled' } } });
      pump();
    },
    rerun(id, change) {
      const one = clip(id);
      if (one === undefined || one.file === null) return;
      stop(id);
      put(id, { request: { ...one.request, ...change }, stage: { kind: 'waiting' } });
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
