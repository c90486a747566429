import Dexie, { type DexieOptions, type EntityTable, type Table } from 'dexie';
import type { Athlete, Rep, Session } from '../athletelog/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import { declareVersions } from './migrations.ts';
import type { ClipRow, SettingRow, ThumbnailRow, TrackRow } from './rows.ts';

/** Name of the database in the browser. */
export const DATABASE_NAME = 'lungeline';

/** Dexie multiplies its versions by ten before it hands them to the browser. https://dexie.org/docs/Dexie/Dexie.version() */
const BROWSER_VERSIONS_PER_VERSION = 10;

/** The database with its tables. */
export type Database = Dexie & {
  readonly athletes: EntityTable<Athlete, 'id'>;
  readonly sessions: EntityTable<Session, 'id'>;
  readonly reps: EntityTable<Rep, 'id'>;
  readonly tracks: EntityTable<TrackRow, 'repId'>;
  readonly thumbnails: EntityTable<ThumbnailRow, 'repId'>;
  readonly clips: EntityTable<ClipRow, 'repId'>;
  readonly profiles: Table<Profile, [string, number]>;
  readonly settings: EntityTable<SettingRow, 'key'>;
};

/** The database, declared but not yet opened. A write that was confirmed is on the disk. */
export function createDatabase(options: DexieOptions = {}): Database {
  const db = new Dexie(DATABASE_NAME, { chromeTransactionDurability: 'strict', ...options }) as Database;
  declareVersions(db);
  return db;
}

/** Version of the database that the browser holds, 0 when there is none; reads nothing else and creates nothing. */
export async function storedVersion(factory: IDBFactory): Promise<number> {
  const found = (await factory.databases()).find((each) => each.name === DATABASE_NAME);
  return found?.version === undefined ? 0 : Math.ceil(found.version / BROWSER_VERSIONS_PER_VERSION);
}
