import type { AthleteLog } from '../athletelog/index.ts';
import type { Analysis } from '../reading/reading.ts';
export function inventedSeason(_today: string): AthleteLog & { readonly analyses: ReadonlyMap<string, Analysis> } { return { athletes: [], sessions: [], reps: [], analyses: new Map() }; }
