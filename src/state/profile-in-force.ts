import { DEFAULT_PROFILE, layerProfiles } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import type { RecordsState } from './records.ts';

/** The newest revision of a profile; null when there is none of that id. */
export function newestProfile(profiles: readonly Profile[], id: string): Profile | null {
  return profiles.filter((profile) => profile.id === id).reduce<Profile | null>((best, each) => (best === null || each.revision > best.revision ? each : best), null);
}

/** The tolerances that hold for an athlete: the profile in use, under those of the athlete's groups, under the athlete's own. */
export function profileInForce(state: Pick<RecordsState, 'log' | 'profiles' | 'profileInUse' | 'assignments'>, athleteId: string | null): Profile {
  const inUse = state.profileInUse === null ? null : newestProfile(state.profiles, state.profileInUse);
  const base = inUse ?? DEFAULT_PROFILE;
  const athlete = state.log.athletes.find((each) => each.id === athleteId);
  if (athlete === undefined) return base;
  const forGroups = state.assignments.filter((each) => each.groups.some((group) => athlete.groups.includes(group)));
  const forAthlete = state.assignments.filter((each) => each.athleteIds.includes(athlete.id));
  const overrides = [...forGroups, ...forAthlete.filter((each) => !forGroups.includes(each))].flatMap((each) => newestProfile(state.profiles, each.profileId) ?? []);
  return layerProfiles(base, ...overrides);
}
