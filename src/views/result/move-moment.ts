import type { MomentId } from '../../phases/moment.ts';
import type { PlacedJoint } from '../../pose/place-joints.ts';
import type { Overrides } from '../../reading/reading.ts';

/** What the user stated, with one moment placed at clip second t. */
export function moveMoment(overrides: Overrides, id: MomentId, t: number): Overrides {
  return { ...overrides, moments: { ...overrides.moments, [id]: t } };
}

/** What the user stated, with one moment given back to the tool. */
export function freeMoment(overrides: Overrides, id: MomentId): Overrides {
  const { [id]: _dropped, ...moments } = overrides.moments ?? {};
  return { ...overrides, moments };
}

/** What the user stated, with some of the placed joints given back to the tool. */
export function freeJoints(overrides: Overrides, isFreed: (joint: PlacedJoint) => boolean): Overrides {
  const { joints = [], ...rest } = overrides;
  const kept = joints.filter((joint) => !isFreed(joint));
  return kept.length === 0 ? rest : { ...rest, joints: kept };
}
