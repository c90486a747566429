import { LIMB_PAIRS } from '../../pose/exchange-sides.ts';
import type { LandmarkName } from '../../pose/landmarks.ts';
import { isWithin, type HandSwap } from '../../pose/swap-by-hand.ts';
import type { Overrides } from '../../reading/reading.ts';

const isSame = (a: HandSwap, b: HandSwap): boolean => a.part === b.part && a.fromS === b.fromS && a.toS === b.toS;

/** What the user stated, with left and right exchanged in one more stretch; the same stretch twice in a row takes itself back. Joints placed there go with their limb. */
export function addSwap(overrides: Overrides, swap: HandSwap): Overrides {
  const before = overrides.swaps ?? [];
  const last = before.at(-1);
  if (last !== undefined && isSame(last, swap)) return dropSwap(overrides, last);
  return { ...withJointsExchanged(overrides, swap), swaps: [...before, swap] };
}

/** What the user stated, without one exchange of left and right. */
export function dropSwap(overrides: Overrides, swap: HandSwap): Overrides {
  const { swaps = [], ...rest } = withJointsExchanged(overrides, swap);
  const kept = swaps.filter((each) => each !== swap);
  return kept.length === 0 ? rest : { ...rest, swaps: kept };
}

function withJointsExchanged(overrides: Overrides, swap: HandSwap): Overrides {
  if (overrides.joints === undefined) return overrides;
  const other = new Map<LandmarkName, LandmarkName>(LIMB_PAIRS[swap.part].flatMap(([left, right]) => [[left, right], [right, left]] as const));
  return {
    ...overrides,
    joints: overrides.joints.map((joint) => (isWithin(swap, joint.t) ? { ...joint, landmark: other.get(joint.landmark) ?? joint.landmark } : joint)),
  };
}
