import Dexie, { type DexieOptions, type EntityTable } from 'dexie';
import { declareVersions, type Migration } from './migrations.ts';
import type { ResultRow, WaitingRow } from './work-rows.ts';

/** Name of the database of the work in hand: apart from the records, since all of it may be thrown away. */
export const WORK_DATABASE_NAME = 'lungeline-work';

/** Every version ever shipped, as of the records; fixtures/databases holds one of each as work-v1.json and so on. */
export const WORK_MIGRATIONS: readonly Migration[] = [
  {
    version: 1,
    stores: {
      results: 'key, clipHash, [usedAt+sizeBytes], *repIds',
      waiting: 'id, tab, place',
    },
  },
];

/** The database of the work in hand with its tables. */
export type WorkDatabase = Dexie & {
  readonly results: EntityTable<ResultRow, 'key'>;
  readonly waiting: EntityTable<WaitingRow, 'id'>;
};

/** The database of the work in hand, declared but not yet opened. */
export function createWorkDatabase(options: DexieOptions = {}): WorkDatabase {
  const db = new Dexie(WORK_DATABASE_NAME, options) as WorkDatabase;
  declareVersions(db, WORK_MIGRATIONS);
  return db;
}
