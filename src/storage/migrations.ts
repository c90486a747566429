import type { Dexie, Transaction } from 'dexie';

/** One step of the database: its tables in Dexie's notation (https://dexie.org/docs/Version/Version.stores()), and what becomes of the rows before it. */
export interface Migration {
  readonly version: number;
  readonly stores: Readonly<Record<string, string>>;
  /** Brings the rows of the version before into this one, inside one transaction. */
  readonly upgrade?: (transaction: Transaction) => Promise<void>;
}

/** Every version ever shipped, from 1, one by one. A shipped step is never edited; fixtures/databases holds a database of each. */
export const MIGRATIONS: readonly Migration[] = [
  {
    version: 1,
    stores: {
      athletes: 'id',
      sessions: 'id, date',
      // The number of a rep is taken once, whichever tab asks.
      reps: 'id, athleteId, sessionId, &[athleteId+sessionId+number]',
      // Beside the log and keyed by rep: what only reopening and comparing need.
      tracks: 'repId',
      thumbnails: 'repId',
      clips: 'repId',
      profiles: '[id+revision]',
      settings: 'key',
    },
  },
];

/** Newest version of the database that this build knows. */
export const DATABASE_VERSION = MIGRATIONS.length;

/** Declares every version on a database. Throws RangeError unless they count up from 1 one by one. */
export function declareVersions(db: Dexie, migrations: readonly Migration[] = MIGRATIONS): void {
  migrations.forEach((migration, index) => {
    if (migration.version !== index + 1) throw new RangeError(`migration ${migration.version} stands at place ${index + 1}`);
    const version = db.version(migration.version).stores(migration.stores);
    if (migration.upgrade !== undefined) version.upgrade(migration.upgrade);
  });
}
