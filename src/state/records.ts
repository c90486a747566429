import { createStore, type StoreApi } from 'zustand/vanilla';
import { DEFAULT_LADDER, EMPTY_LOG } from '../athletelog/index.ts';
import type { Athlete, AthleteLog, Ladder, Rep, Session } from '../athletelog/index.ts';
import { DEFAULT_STOP_RULES } from '../compare/index.ts';
import type { FloorPlan, StopRules } from '../compare/index.ts';
import { BACKUP_FORMAT, BACKUP_VERSION, readBackup, writeBackup } from '../export/index.ts';
import type { Assignment, Backup } from '../export/index.ts';
import type { Analysis } from '../reading/reading.ts';
import type { StartId } from '../starts/start.ts';
import { EMPTY_SETTINGS, type LastBackup, type PersistAnswer, type Remembered, type Removed, type Stored } from '../storage/rows.ts';
import type { Lost, Removal, Storage, Thumbnail } from '../storage/storage.ts';
import type { Profile } from '../tolerances/schema.ts';
import { failure, success, type Outcome, type Problem } from '../units/outcome.ts';
import { profileInForce } from './profile-in-force.ts';
import { newAthlete, type MeasuredPart, type SaidPart } from './rep-draft.ts';

/** New sessions after which a backup is asked for. EXPECTATIONS R22. */
export const SESSIONS_PER_BACKUP = 10;

/** A deletion, or an opened backup, that can still be taken back. */
export interface UndoStep {
  readonly id: number;
  readonly what: Removal['what'] | 'replaced';
  /** Name of the athlete, date of the session, or empty. */
  readonly name: string;
  readonly reps: number;
  readonly sessions: number;
}

/** What is kept, as the screens see it. */
export interface RecordsState {
  /** 'read-only': a newer version of the app owns the database; 'unavailable': this browser keeps nothing. */
  readonly status: 'loading' | 'ready' | 'read-only' | 'unavailable';
  readonly log: AthleteLog;
  /** Every revision of every profile of the coach. */
  readonly profiles: readonly Profile[];
  readonly profileInUse: string | null;
  readonly assignments: readonly Assignment[];
  readonly stopRules: StopRules;
  readonly ladder: Ladder;
  readonly remembered: Remembered;
  readonly lastBackup: LastBackup | null;
  readonly persist: PersistAnswer | null;
  readonly keptClips: ReadonlySet<string>;
  readonly keptTracks: ReadonlySet<string>;
  /** The last thing that went wrong, until it is put away. */
  readonly problem: Problem | null;
  /** Newest last. */
  readonly undoable: readonly UndoStep[];
}

/** Where and when a rep belongs, and what is to be kept of it. */
export interface SaveWish {
  readonly athleteId: string;
  /** Null: the session of today, made when there is none. */
  readonly sessionId: string | null;
  readonly measured: MeasuredPart;
  readonly said: SaidPart;
  readonly analysis: Analysis | null;
  readonly thumbnail: Thumbnail | null;
  /** The clip to keep, null to keep none. */
  readonly clip: File | null;
}

/** The records and every action on them. Every action that fails also shows its problem in the state. */
export interface Records {
  readonly store: StoreApi<RecordsState>;
  readonly canKeepClips: boolean;
  open(): Promise<void>;
  saveRep(wish: SaveWish): Promise<Outcome<Rep>>;
  changeRep(id: string, change: (rep: Rep) => Rep): Promise<Outcome<Rep | null>>;
  /** Stores what was read and stated anew about a rep, with the track that it was read from. */
  putMeasured(id: string, part: MeasuredPart, analysis: Analysis): Promise<Outcome<Rep | null>>;
  /** Adds an athlete of whom only the name is known. */
  addAthlete(name: string): Promise<Outcome<Athlete>>;
  changeAthlete(id: string, change: (athlete: Athlete) => Athlete): Promise<Outcome<Athlete | null>>;
  /** Adds a session without reps, on the given day. */
  addSession(date: string): Promise<Outcome<Session>>;
  changeSession(id: string, change: (session: Session) => Session): Promise<Outcome<Session | null>>;
  remove(removal: Removal): Promise<Outcome<null>>;
  /** Takes the newest deletion back. */
  undoRemove(): Promise<Outcome<null>>;
  /** Erases for good what can still be taken back. */
  forgetRemoved(): Promise<void>;
  eraseAll(): Promise<void>;
  keepClip(repId: string, clip: File): Promise<Outcome<null>>;
  dropClip(repId: string): Promise<Outcome<null>>;
  clipFileOf(repId: string): Promise<File | null>;
  analysisOf(repId: string): Promise<Analysis | null>;
  thumbnailOf(repId: string): Promise<Blob | null>;
  putFloorPlan(sessionId: string, athleteId: string, plan: FloorPlan | null): Promise<Outcome<Session | null>>;
  putTick(athleteId: string, start: StartId, isTicked: boolean): Promise<Outcome<Athlete | null>>;
  putStopRules(rules: StopRules | null): Promise<Outcome<null>>;
  putLadder(ladder: Ladder | null): Promise<Outcome<null>>;
  putProfile(profile: Profile): Promise<Outcome<null>>;
  setProfileInUse(id: string | null): Promise<Outcome<null>>;
  putAssignments(assignments: readonly Assignment[]): Promise<Outcome<null>>;
  remember(part: Partial<Remembered>): Promise<Outcome<null>>;
  /** The tolerances that hold for an athlete, or for nobody in particular: the profile in use under those of the groups and the athlete. */
  profileFor(athleteId: string | null): Profile;
  /** Text of a backup of everything; noted as the last backup. */
  backup(): Promise<string>;
  /** Replaces everything by a backup; nothing changes when the text is damaged, foreign or too new. */
  restore(text: string, fileName: string): Promise<Outcome<null>>;
  loadDemo(): Promise<Outcome<null>>;
  putProblemAway(): void;
}

/** What the records need from the outside. */
export interface RecordsParts {
  /** Null where the browser keeps nothing. */
  readonly storage: Storage | null;
  readonly now: () => Date;
  readonly newId: () => string;
  readonly askToPersist: () => Promise<PersistAnswer>;
  /** Erases what is kept on the device beside the records. */
  readonly eraseBeside?: () => Promise<void>;
  /** The invented club with its season up to the day on which it is loaded. */
  readonly inventedClub: (today: string) => Promise<{ readonly log: AthleteLog; readonly analyses: ReadonlyMap<string, Analysis> }>;
}

const EMPTY: RecordsState = {
  status: 'loading',
  log: EMPTY_LOG,
  profiles: [],
  profileInUse: null,
  assignments: [],
  stopRules: DEFAULT_STOP_RULES,
  ladder: DEFAULT_LADDER,
  remembered: EMPTY_SETTINGS.remembered,
  lastBackup: null,
  persist: null,
  keptClips: new Set(),
  keptTracks: new Set(),
  problem: null,
  undoable: [],
};

/** The calendar day on which a moment lies where the user is, as yyyy-mm-dd. */
export function dayOf(moment: Date): string {
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
}

/** The latest session of a day that is not invented; null when there is none. */
export function sessionOn(log: AthleteLog, day: string): Session | null {
  return log.sessions.findLast((session) => session.date === day && !session.isInvented) ?? null;
}

/** Sessions of the coach's own since the last backup. */
export function sessionsSinceBackup(state: Pick<RecordsState, 'log' | 'lastBackup'>): number {
  return ownSessions(state.log) - (state.lastBackup?.sessions ?? 0);
}

function ownSessions(log: AthleteLog): number {
  return log.sessions.filter((session) => !session.isInvented).length;
}

/** Keeps a clip; without room for it that is said of the clip alone, for its rep is safe. */
async function keepClip(to: Storage, repId: string, clip: File): Promise<Outcome<null>> {
  const kept = await to.keepClip(repId, clip);
  return kept.ok || kept.problem.kind !== 'storage-full' ? kept : failure({ kind: 'clip-not-kept' });
}

type Back = { readonly kind: 'removed'; readonly removed: Removed } | { readonly kind: 'replaced'; readonly before: Backup; readonly lost: Lost };

/** Records over storage. */
export function createRecords(parts: RecordsParts): Records {
  const { storage } = parts;
  const store = createStore<RecordsState>(() => EMPTY);
  const backs = new Map<number, Back>();
  let steps = 0;
  let loads = 0;

  const show = (stored: Stored) => {
    const { settings } = stored;
    store.setState({
      log: stored.log,
      profiles: stored.profiles,
      profileInUse: settings.profileInUse,
      assignments: settings.assignments,
      stopRules: settings.stopRules ?? DEFAULT_STOP_RULES,
      ladder: settings.ladder ?? DEFAULT_LADDER,
      remembered: settings.remembered,
      lastBackup: settings.lastBackup,
      persist: settings.persist,
      keptClips: stored.keptClips,
      keptTracks: stored.keptTracks,
    });
  };
  /** Shows what is stored now; an answer that was overtaken by a later question is dropped. */
  const refresh = async () => {
    if (storage === null || store.getState().status !== 'ready') return;
    loads += 1;
    const load = loads;
    const stored = await storage.load();
    if (load === loads && store.getState().status === 'ready') show(stored);
  };
  const canWrite = (): Outcome<Storage> => {
    const { status } = store.getState();
    if (storage !== null && status === 'ready') return success(storage);
    return failure(store.getState().problem ?? { kind: 'storage-unavailable' });
  };
  /** Writes, then shows what is stored; a failure shows itself. */
  const writing = async <T>(work: (to: Storage) => Promise<Outcome<T>>): Promise<Outcome<T>> => {
    const to = canWrite();
    const outcome = to.ok ? await work(to.value) : to;
    if (!outcome.ok) store.setState({ problem: outcome.problem });
    else await refresh();
    return outcome;
  };
  /** Changes one row and shows just that row: a season is not read again for a star. */
  const changing = async <K extends keyof AthleteLog>(kind: K, work: (to: Storage) => Promise<Outcome<AthleteLog[K][number] | null>>): Promise<Outcome<AthleteLog[K][number] | null>> => {
    const to = canWrite();
    const outcome = to.ok ? await work(to.value) : to;
    if (!outcome.ok) store.setState({ problem: outcome.problem });
    else if (outcome.value === null) await refresh();
    else {
      const row = outcome.value;
      // A load that began before this change would show the row as it was.
      loads += 1;
      store.setState(({ log }) => ({ log: { ...log, [kind]: log[kind].map((each) => (each.id === row.id ? row : each)) } }));
    }
    return outcome;
  };
  const own = (state: RecordsState): Backup => ({
    format: BACKUP_FORMAT,
    version: BACKUP_VERSION,
    savedAt: parts.now().toISOString(),
    log: state.log,
    profiles: state.profiles,
    profileInUse: state.profileInUse,
    assignments: state.assignments,
    stopRules: state.stopRules === DEFAULT_STOP_RULES ? null : state.stopRules,
    ladder: state.ladder === DEFAULT_LADDER ? null : state.ladder,
  });
  const addStep = (step: Omit<UndoStep, 'id'>, back: Back) => {
    steps += 1;
    backs.set(steps, back);
    const id = steps;
    store.setState((state) => ({ undoable: [...state.undoable, { ...step, id }] }));
  };
  const nameOf = (removal: Removal): string => {
    const { log } = store.getState();
    if (removal.what === 'athlete') return log.athletes.find((each) => each.id === removal.id)?.name ?? '';
    if (removal.what === 'session') return log.sessions.find((each) => each.id === removal.id)?.date ?? '';
    if (removal.what === 'invented') return '';
    const rep = log.reps.find((each) => each.id === removal.id);
    const athlete = log.athletes.find((each) => each.id === rep?.athleteId);
    return rep === undefined ? '' : `${athlete?.name ?? ''}, rep ${rep.number}`;
  };
  /** Asks once, at the first save, when the user has something to lose. */
  const askOnce = async (to: Storage) => {
    if (store.getState().persist !== null) return;
    const asked = await to.set('persist', await parts.askToPersist());
    if (!asked.ok) store.setState({ problem: asked.problem });
  };

  const records: Records = {
    store,
    canKeepClips: storage?.canKeepClips ?? false,
    async open() {
      if (storage === null) {
        store.setState({ status: 'unavailable' });
        return;
      }
      storage.listen((word) => {
        if (word === 'outdated') store.setState({ status: 'read-only' });
        else void refresh();
      });
      const opened = await storage.open();
      if (opened.ok) {
        show(opened.value);
        store.setState({ status: 'ready' });
        return;
      }
      const isNewer = opened.problem.kind === 'file-too-new';
      store.setState({ status: isNewer ? 'read-only' : 'unavailable', problem: opened.problem });
    },
    saveRep: (wish) =>
      writing(async (to) => {
        const { log, remembered } = store.getState();
        const today = dayOf(parts.now());
        const given = wish.sessionId ?? sessionOn(log, today)?.id;
        const session: Session = {
          id: parts.newId(), date: today, place: remembered.place, surfaces: wish.said.surfaces, present: [], note: '', isInvented: false,
        };
        const saved = await to.saveRep({
          rep: { id: parts.newId(), athleteId: wish.athleteId, sessionId: given ?? session.id, ...wish.measured, ...wish.said },
          session,
          analysis: wish.analysis,
          thumbnail: wish.thumbnail,
        });
        if (!saved.ok) return saved;
        await to.set('remembered', { ...remembered, athleteId: wish.athleteId, surfaces: wish.said.surfaces, keepsClips: wish.clip !== null });
        await askOnce(to);
        if (wish.clip !== null) {
          // The rep is safe already; a clip that finds no room is said, and costs nothing else.
          const kept = await keepClip(to, saved.value.id, wish.clip);
          if (!kept.ok) store.setState({ problem: kept.problem });
        }
        return saved;
      }),
    changeRep: (id, change) => changing('reps', (to) => to.changeRep(id, change)),
    putMeasured: (id, part, analysis) =>
      writing(async (to) => {
        const changed = await to.changeRep(id, (rep) => ({ ...rep, ...part }));
        if (!changed.ok || changed.value === null) return changed;
        const added = await to.add({ analyses: new Map([[id, analysis]]) });
        return added.ok ? changed : added;
      }),
    addAthlete: (name) =>
      writing(async (to) => {
        const athlete = newAthlete(parts.newId(), name);
        const added = await to.add({ athletes: [athlete] });
        if (added.ok) await askOnce(to);
        return added.ok ? success(athlete) : added;
      }),
    changeAthlete: (id, change) => changing('athletes', (to) => to.changeAthlete(id, change)),
    addSession: (date) =>
      writing(async (to) => {
        const { remembered } = store.getState();
        const session: Session = { id: parts.newId(), date, place: remembered.place, surfaces: remembered.surfaces, present: [], note: '', isInvented: false };
        const added = await to.add({ sessions: [session] });
        return added.ok ? success(session) : added;
      }),
    changeSession: (id, change) => changing('sessions', (to) => to.changeSession(id, change)),
    async remove(removal) {
      const name = nameOf(removal);
      const removed = await writing((to) => to.remove(removal));
      if (!removed.ok) return removed;
      addStep({ what: removal.what, name, reps: removed.value.reps.length, sessions: removed.value.sessions.length }, { kind: 'removed', removed: removed.value });
      return success(null);
    },
    undoRemove: () =>
      writing(async (to) => {
        const step = store.getState().undoable.at(-1);
        const back = step === undefined ? undefined : backs.get(step.id);
        if (step === undefined || back === undefined) return success(null);
        const done = back.kind === 'removed' ? await to.putBack(back.removed) : await to.replace(back.before, back.lost);
        if (!done.ok) return done;
        backs.delete(step.id);
        store.setState((state) => ({ undoable: state.undoable.filter((each) => each.id !== step.id) }));
        return success(null);
      }),
    async forgetRemoved() {
      const repIds = [...backs.values()].flatMap((back) => (back.kind === 'removed' ? back.removed : back.lost).clips.map((clip) => clip.repId));
      backs.clear();
      store.setState({ undoable: [] });
      if (storage !== null && repIds.length > 0) await storage.eraseFiles(repIds);
    },
    async eraseAll() {
      if (storage === null) return;
      backs.clear();
      await Promise.all([storage.eraseAll(), parts.eraseBeside?.()]);
      store.setState({ ...EMPTY });
      await records.open();
    },
    keepClip: (repId, clip) => writing((to) => keepClip(to, repId, clip)),
    dropClip: (repId) => writing((to) => to.dropClip(repId)),
    clipFileOf: (repId) => storage?.clipOf(repId) ?? Promise.resolve(null),
    analysisOf: (repId) => storage?.analysisOf(repId) ?? Promise.resolve(null),
    thumbnailOf: (repId) => storage?.thumbnailOf(repId) ?? Promise.resolve(null),
    putFloorPlan: (sessionId, athleteId, plan) =>
      records.changeSession(sessionId, (session) => {
        const isListed = session.present.some((each) => each.athleteId === athleteId);
        return {
          ...session,
          present: isListed
            ? session.present.map((each) => (each.athleteId === athleteId ? { ...each, floorPlan: plan } : each))
            : [...session.present, { athleteId, legs: null, floorPlan: plan }],
        };
      }),
    putTick: (athleteId, start, isTicked) =>
      records.changeAthlete(athleteId, (athlete) => {
        const others = athlete.ticks.filter((tick) => tick.start !== start);
        return { ...athlete, ticks: isTicked ? [...others, { start, date: dayOf(parts.now()) }] : others };
      }),
    putStopRules: (rules) => writing((to) => to.set('stopRules', rules)),
    putLadder: (ladder) => writing((to) => to.set('ladder', ladder)),
    putProfile: (profile) => writing((to) => to.putProfile(profile)),
    setProfileInUse: (id) => writing((to) => to.set('profileInUse', id)),
    putAssignments: (assignments) => writing((to) => to.set('assignments', assignments)),
    remember: (part) => writing((to) => to.set('remembered', { ...store.getState().remembered, ...part })),
    profileFor: (athleteId) => profileInForce(store.getState(), athleteId),
    async backup() {
      const backup = own(store.getState());
      // Noted even when the note finds no room: the file itself must always come out.
      await writing((to) => to.set('lastBackup', { savedAt: backup.savedAt, sessions: ownSessions(backup.log) }));
      return writeBackup(backup);
    },
    restore: (text, fileName) =>
      writing(async (to) => {
        const read = readBackup(text, fileName);
        if (!read.ok) return read;
        const before = own(store.getState());
        const replaced = await to.replace(read.value);
        if (!replaced.ok) return replaced;
        addStep({ what: 'replaced', name: fileName, reps: read.value.log.reps.length, sessions: read.value.log.sessions.length }, { kind: 'replaced', before, lost: replaced.value });
        return success(null);
      }),
    loadDemo: () =>
      writing(async (to) => {
        const { log, analyses } = await parts.inventedClub(dayOf(parts.now()));
        return to.add({ ...log, analyses });
      }),
    putProblemAway: () => { store.setState({ problem: null }); },
  };
  return records;
}
