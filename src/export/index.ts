export { readBackup, writeBackup } from './backup.ts';
export { csv } from './csv.ts';
export type { Cell, CsvStyle } from './csv.ts';
export { fileName } from './file-name.ts';
export { repsCsv } from './reps-csv.ts';
export { BACKUP_FORMAT, BACKUP_VERSION, assignmentSchema, backupSchema } from './schema.ts';
export type { Assignment, Backup } from './schema.ts';
export { trackCsv } from './track-csv.ts';
