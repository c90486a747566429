import { DEFAULT_PROFILE, copyProfile, type Profile } from '../../tolerances/index.ts';

/** The newest revision of every profile, in the order in which they first appear. */
export function newestOfEach(profiles: readonly Profile[]): readonly Profile[] {
  const ids = [...new Set(profiles.map((profile) => profile.id))];
  return ids.map((id) => profiles.filter((profile) => profile.id === id).reduce((best, each) => (each.revision > best.revision ? each : best)));
}

/** The profile to edit: the built-in one is copied under an id of its own, every other one edits itself. */
export function startDraft(profile: Profile, newId: () => string): Profile {
  return profile.id === DEFAULT_PROFILE.id ? copyProfile(profile, newId(), 'My tolerances') : profile;
}

/** The draft as it would be saved: one revision above the newest stored one of its id, from 1. */
export function withNextRevision(draft: Profile, profiles: readonly Profile[]): Profile {
  const newest = profiles.filter((profile) => profile.id === draft.id).reduce((most, each) => Math.max(most, each.revision), 0);
  return { ...draft, revision: newest + 1 };
}

/** An opened tolerance file as it comes into the store: the next revision of the profile that is there, or a new one; never in the place of the built-in profile. */
export function asOpened(file: Profile, profiles: readonly Profile[], newId: () => string): Profile {
  const isTaken = file.id === DEFAULT_PROFILE.id;
  return withNextRevision(isTaken ? { ...file, id: newId(), name: `${file.name} (opened)` } : file, profiles);
}
