import { describe, expect, it } from 'vitest';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';
import { headShare } from '../../workers/pose/head-share.ts';

/** Shoulders `ratio` trunk lengths apart, trunk 100 px long, turned clockwise by `turn`. */
function trunk(ratio: number, turn: number): Float32Array {
  const xy = new Float32Array(LANDMARK_COUNT * 2);
  const put = (name: 'leftShoulder' | 'rightShoulder' | 'leftHip' | 'rightHip', x: number, y: number): void => {
    xy[LANDMARK_INDEX[name] * 2] = 300 + x * Math.cos(turn) - y * Math.sin(turn);
    xy[LANDMARK_INDEX[name] * 2 + 1] = 200 + x * Math.sin(turn) + y * Math.cos(turn);
  };
  put('leftShoulder', 50 * ratio, -100);
  put('rightShoulder', -50 * ratio, -100);
  put('leftHip', 5, 0);
  put('rightHip', -5, 0);
  return xy;
}

describe('share of the joint head', () => {
  it('all up to a shoulder width of 0.43 trunk lengths, half at 0.48, none from 0.53', () => {
    expect(headShare(trunk(0, 0))).toBe(1);
    expect(headShare(trunk(0.42, 0))).toBe(1);
    expect(headShare(trunk(0.48, 0))).toBeCloseTo(0.5, 4);
    expect(headShare(trunk(0.54, 0))).toBe(0);
    expect(headShare(trunk(0.75, 0))).toBe(0);
  });

  it('does not depend on the way the body leans, up to 75° from upright', () => {
    for (const turn of [-1.3, -0.7, 0.7, 1.3]) expect(headShare(trunk(0.46, turn))).toBeCloseTo(headShare(trunk(0.46, 0)), 4);
  });

  it('all from level to upside down, whichever way the chest is turned: half at 82.5° for a chest seen from the front', () => {
    expect(headShare(trunk(0.75, (82.5 * Math.PI) / 180))).toBeCloseTo(0.5, 4);
    for (const turnDeg of [91, 120, 180, -120, -91]) expect(headShare(trunk(0.75, (turnDeg * Math.PI) / 180))).toBe(1);
  });
});
