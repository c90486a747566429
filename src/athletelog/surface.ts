/** Floors and places of a rep; a rep can have several, for example an incline into a pit. */
export const SURFACE_IDS = ['sprung-floor', 'dead-mat', 'air-floor', 'rod-floor', 'trampoline-track', 'pit', 'incline'] as const;

/** One floor or place. */
export type SurfaceId = (typeof SURFACE_IDS)[number];

/** Names of the surfaces as a coach says them. */
export const SURFACE_NAMES: Readonly<Record<SurfaceId, string>> = {
  'sprung-floor': 'Sprung floor',
  'dead-mat': 'Dead mat',
  'air-floor': 'Air floor',
  'rod-floor': 'Rod floor',
  'trampoline-track': 'Trampoline track',
  pit: 'Into a pit',
  incline: 'Incline',
};
