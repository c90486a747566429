import type { Athlete, AthleteLog, Rep, Session } from '../athletelog/index.ts';
import type { Ladder } from '../athletelog/index.ts';
import type { SurfaceId } from '../athletelog/index.ts';
import type { StopRules } from '../compare/index.ts';
import type { Assignment } from '../export/index.ts';
import type { Analysis } from '../reading/reading.ts';
import type { Profile } from '../tolerances/schema.ts';

/** What the pose model gave for a rep's clip; everything else about the rep is recomputed from it. */
export interface TrackRow {
  readonly repId: string;
  readonly analysis: Analysis;
}

/** A small still of a rep, encoded. */
export interface ThumbnailRow {
  readonly repId: string;
  readonly type: string;
  readonly bytes: ArrayBuffer;
}

/** A clip that the user chose to keep; its bytes lie in the file called `repId`. */
export interface ClipRow {
  readonly repId: string;
  readonly fileName: string;
  readonly type: string;
  readonly sizeBytes: number;
}

/** What the last save was for, so that the next one starts from it. */
export interface Remembered {
  readonly athleteId: string | null;
  readonly place: string;
  readonly surfaces: readonly SurfaceId[];
  readonly keepsClips: boolean;
}

/** When the last backup was written, and how many sessions there were then. */
export interface LastBackup {
  readonly savedAt: string;
  readonly sessions: number;
}

/** The browser's answer to "please never clear this": it promised, it did not, or it cannot say. */
export type PersistAnswer = 'promised' | 'not-promised' | 'cannot-say';

/** The single values that are kept, by key. */
export interface Settings {
  readonly profileInUse: string | null;
  readonly assignments: readonly Assignment[];
  /** Null while the built-in ones are in use. */
  readonly stopRules: StopRules | null;
  readonly ladder: Ladder | null;
  readonly remembered: Remembered;
  readonly lastBackup: LastBackup | null;
  /** Null until the browser was asked. */
  readonly persist: PersistAnswer | null;
}

/** A setting as a row. */
export interface SettingRow {
  readonly key: keyof Settings;
  readonly value: Settings[keyof Settings];
}

/** Settings of an empty database. */
export const EMPTY_SETTINGS: Settings = {
  profileInUse: null,
  assignments: [],
  stopRules: null,
  ladder: null,
  remembered: { athleteId: null, place: '', surfaces: [], keepsClips: false },
  lastBackup: null,
  persist: null,
};

/** Everything that the screens need at once: no tracks, no stills, no clips, only whose they are. */
export interface Stored {
  readonly log: AthleteLog;
  readonly profiles: readonly Profile[];
  readonly settings: Settings;
  readonly keptClips: ReadonlySet<string>;
  readonly keptTracks: ReadonlySet<string>;
}

/** Rows taken out by a deletion, enough to put all of them back. */
export interface Removed {
  readonly athletes: readonly Athlete[];
  readonly sessions: readonly Session[];
  readonly reps: readonly Rep[];
  readonly tracks: readonly TrackRow[];
  readonly thumbnails: readonly ThumbnailRow[];
  readonly clips: readonly ClipRow[];
  /** Sessions that stay but lost a name from their list, as they were. */
  readonly changedSessions: readonly Session[];
  readonly assignments: readonly Assignment[] | null;
}
