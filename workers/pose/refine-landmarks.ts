import { LIMB_PAIRS } from '../../src/pose/exchange-sides.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';

/** Stock landmarks without a joint of their own move along with one: face with the nose, fingers with the wrist. */
const CARRIED_BY: readonly (readonly [number, readonly number[]])[] = [
  [0, [1, 2, 3, 4, 5, 6, 9, 10]], [15, [17, 19, 21]], [16, [18, 20, 22]],
];

/**
 * The stock 33 × 2 points with the head's joints in their place by its share (0 to 1); joints of the head that are NaN
 * leave the stock point, and the rest of face and hands moves along. Between the two, limbs that the stock model gave to
 * the other side follow the head: the mean of two different legs is no leg.
 */
export function refineLandmarks(stock: Float32Array, joints: Float32Array, share: number): Float32Array {
  const sided = share > 0 ? onTheSidesOf(joints, stock) : stock;
  const xy = sided.slice(0, LANDMARK_COUNT * 2);
  for (let at = 0; at < xy.length; at += 1) {
    const value = joints[at] as number;
    if (Number.isFinite(value)) xy[at] = share * value + (1 - share) * (sided[at] as number);
  }
  for (const [carrier, carried] of CARRIED_BY) {
    const shiftX = (xy[carrier * 2] as number) - (sided[carrier * 2] as number);
    const shiftY = (xy[carrier * 2 + 1] as number) - (sided[carrier * 2 + 1] as number);
    for (const index of carried) {
      xy[index * 2] = (xy[index * 2] as number) + shiftX;
      xy[index * 2 + 1] = (xy[index * 2 + 1] as number) + shiftY;
    }
  }
  return xy;
}

/** The stock points with legs, or arms, exchanged where that brings them nearer to the joints. */
function onTheSidesOf(joints: Float32Array, stock: Float32Array): Float32Array {
  const apart = (a: number, b: number): number => {
    const distance = Math.hypot((joints[a * 2] as number) - (stock[b * 2] as number), (joints[a * 2 + 1] as number) - (stock[b * 2 + 1] as number));
    return Number.isNaN(distance) ? 0 : distance;
  };
  const xy = stock.slice();
  for (const pairs of Object.values(LIMB_PAIRS)) {
    let gain = 0;
    for (const [leftName, rightName] of pairs) {
      const left = LANDMARK_INDEX[leftName];
      const right = LANDMARK_INDEX[rightName];
      gain += apart(left, left) + apart(right, right) - apart(left, right) - apart(right, left);
    }
    if (!(gain > 0)) continue;
    for (const [leftName, rightName] of pairs) {
      const left = LANDMARK_INDEX[leftName] * 2;
      const right = LANDMARK_INDEX[rightName] * 2;
      xy.set(stock.subarray(right, right + 2), left);
      xy.set(stock.subarray(left, left + 2), right);
    }
  }
  return xy;
}
