export { applies, BAND_UNITS, MEASURE_STARTS, measuresOf, naturalRange } from './applies.ts';
export { BASIS_NAMES, DEFAULT_LABEL, DEFAULT_PROFILE, defaultTolerance } from './defaults.ts';
export type { ToleranceEdit } from './edit.ts';
export {
  changedTolerances,
  copyProfile,
  editTolerance,
  isComplete,
  isInformational,
  layerProfiles,
  newOverride,
  resetProfile,
  resetTolerance,
  setBand,
  toleranceOf,
} from './edit.ts';
export type { Basis, Profile, Tolerance } from './schema.ts';
export { bandFault, BASIS_TAGS, profileSchema, TOLERANCE_FORMAT, TOLERANCE_VERSION, toleranceSchema } from './schema.ts';
export { readToleranceFile, writeToleranceFile } from './tolerance-file.ts';
