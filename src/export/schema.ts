import { z } from '../units/zod.ts';
import { ladderSchema, logSchema } from '../athletelog/schema.ts';
import { stopRulesSchema } from '../compare/schema.ts';
import { profileSchema } from '../tolerances/schema.ts';

/** Value of `format` in every backup. */
export const BACKUP_FORMAT = 'lungeline-backup';

/** Newest version of the backup that this build reads and the one that it writes. */
export const BACKUP_VERSION = 1;

/** Which athletes and groups a profile overrides the one in use for; later entries lie on top. */
export const assignmentSchema = z.strictObject({
  profileId: z.string().min(1).max(300),
  athleteIds: z.array(z.string().min(1).max(100)).readonly(),
  groups: z.array(z.string().min(1).max(100)).readonly(),
}).readonly();

/** A profile's athletes and groups. */
export type Assignment = z.infer<typeof assignmentSchema>;

/** A backup: everything that is kept, in one file. Clips are not in it. */
export const backupSchema = z.strictObject({
  format: z.literal(BACKUP_FORMAT),
  version: z.literal(BACKUP_VERSION),
  /** When it was written, in UTC. */
  savedAt: z.iso.datetime(),
  log: logSchema,
  /** The coach's tolerance profiles, every revision that a rep may have been judged by, each once. */
  profiles: z.array(profileSchema).readonly().refine((all) => new Set(all.map((each) => JSON.stringify([each.id, each.revision]))).size === all.length, 'a profile is there twice'),
  /** Id of the profile in use, null for the built-in one. */
  profileInUse: z.string().min(1).max(300).nullable(),
  assignments: z.array(assignmentSchema).readonly(),
  /** Null when the built-in ones are in use. */
  stopRules: stopRulesSchema.nullable(),
  ladder: ladderSchema.nullable(),
}).readonly();

/** A backup. */
export type Backup = z.infer<typeof backupSchema>;
