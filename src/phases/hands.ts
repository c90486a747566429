import type { BodyTrack } from '../pose/body-track.ts';
import { frameNear } from '../pose/frame-near.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { fitHinge } from '../signal/hinge.ts';
import { HAND_TOUCHES } from './contact-families.ts';
import type { Instant, Moment } from './moment.ts';
import { placeContact } from './place-contact.ts';

/** The trunk must have tipped so far that the shoulders are no higher above the hips than this, in leg lengths. Chosen: about 70° of lean. */
const TIPPED = 0.25;
/** A wrist nearer to the floor than this, in leg lengths, may be about to touch it. Chosen: two hands, and what perspective lifts. */
const NEAR_FLOOR = 0.45;

/**
 * The first hand contact: a line that falls and then rests, fitted to a wrist's height near the floor while the trunk is tipped
 * over, then the family of touches; the earlier of the two wrists. Not found when no wrist comes near the floor in view.
 */
export function findHands(body: BodyTrack, legPx: number, floorY: number): Moment {
  const { times, hipMid, shoulderMid } = body;
  const entry = times.findIndex((_, i) => {
    const tipped = hipMid.y[i]! - shoulderMid.y[i]! < TIPPED * legPx;
    const lowest = Math.max(body.left.wrist.y[i]!, body.right.wrist.y[i]!);
    return tipped && floorY - lowest < NEAR_FLOOR * legPx;
  });
  if (entry < 0) return { found: false, why: 'moment-not-found' };
  const t = times[entry]!;
  const step = frameSpacing(times, t);
  const touches = [body.left, body.right].flatMap(({ wrist, elbow }): Instant[] => {
    const from = frameNear(times, t - 0.08);
    const to = frameNear(times, t + 0.16);
    const fit = fitHinge(times, [wrist.y], from, to, { from: t - 0.05, to: t + 0.12, step: step / 4 });
    if (fit === null || floorY - fit.rest[0]! > NEAR_FLOOR * legPx) return [];
    return [placeContact(HAND_TOUCHES, times, [wrist, elbow], fit.t, legPx) ?? { t: fit.t, sd: Math.hypot(step / Math.sqrt(12), Math.min(fit.sd, 3 * step)) }];
  });
  const first = touches.reduce<Instant | null>((a, b) => (a !== null && a.t <= b.t ? a : b), null) ?? { t, sd: 2 * step };
  return { found: true, ...first, source: 'detected' };
}
