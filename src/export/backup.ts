import type { Outcome } from '../units/outcome.ts';
import { failure, success } from '../units/outcome.ts';
import { BACKUP_FORMAT, BACKUP_VERSION, backupSchema } from './schema.ts';
import type { Backup } from './schema.ts';

/** The text of a backup file (JSON, keys and records in a fixed order, ends with a line break): equal contents give equal bytes. */
export function writeBackup(backup: Backup): string {
  const byId = <T extends { readonly id: string }>(records: readonly T[]): readonly T[] =>
    records.toSorted((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
  const byIdAndRevision = (all: Backup['profiles']): Backup['profiles'] =>
    all.toSorted((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : a.revision - b.revision));
  const { log, profiles } = backup;
  const ordered = { ...backup, log: { athletes: byId(log.athletes), sessions: byId(log.sessions), reps: byId(log.reps) }, profiles: byIdAndRevision(profiles) };
  return `${JSON.stringify(ordered, sortedKeys, 2)}\n`;
}

/**
 * The backup in a file's text. A file of a newer version is refused as `file-too-new`, a damaged, foreign or inconsistent one as
 * `unreadable-file`, an empty one as `empty-file`; nothing of any of them is used. Older versions are brought up step by step.
 */
export function readBackup(text: string, fileName: string): Outcome<Backup> {
  if (text.trim() === '') return failure({ kind: 'empty-file', fileName });
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    if (error instanceof SyntaxError) return failure({ kind: 'unreadable-file', fileName });
    throw error;
  }
  const version = versionOf(json);
  if (version === null) return failure({ kind: 'unreadable-file', fileName });
  if (version > BACKUP_VERSION) return failure({ kind: 'file-too-new', version });
  const parsed = backupSchema.safeParse(upgrade(json, version));
  return parsed.success ? success(parsed.data) : failure({ kind: 'unreadable-file', fileName });
}

/** Steps that turn a backup of version n (place n − 1) into one of version n + 1; as many as there are older versions. */
const UPGRADES: readonly ((older: unknown) => unknown)[] = [];

function upgrade(json: unknown, version: number): unknown {
  return UPGRADES.slice(version - 1).reduce((document, step) => step(document), json);
}

function versionOf(json: unknown): number | null {
  if (typeof json !== 'object' || json === null || !('format' in json) || !('version' in json)) return null;
  if (json.format !== BACKUP_FORMAT || typeof json.version !== 'number') return null;
  return Number.isInteger(json.version) && json.version >= 1 ? json.version : null;
}

function sortedKeys(_: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).toSorted(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)));
}
