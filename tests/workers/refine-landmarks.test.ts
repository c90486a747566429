import { describe, expect, it } from 'vitest';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../../src/pose/landmarks.ts';
import { refineLandmarks } from '../../workers/pose/refine-landmarks.ts';

type Places = Partial<Record<LandmarkName, readonly [number, number]>>;

/** Points by name; every other one lies at `elsewhere`. */
function points(places: Places, elsewhere = Number.NaN): Float32Array {
  const xy = new Float32Array(LANDMARK_COUNT * 2).fill(elsewhere);
  for (const [name, place] of Object.entries(places)) xy.set(place, LANDMARK_INDEX[name as LandmarkName] * 2);
  return xy;
}
const at = (xy: Float32Array, name: LandmarkName): number[] => [...xy.subarray(LANDMARK_INDEX[name] * 2, LANDMARK_INDEX[name] * 2 + 2)];

/** One leg up, one on the floor, as after the hands; the head's left is up. */
const HEAD: Places = {
  leftHip: [100, 100], rightHip: [104, 102], leftKnee: [100, 40], rightKnee: [110, 150], leftAnkle: [100, 0], rightAnkle: [80, 190],
  leftHeel: [96, -4], rightHeel: [76, 196], leftFootIndex: [110, -10], rightFootIndex: [100, 198],
};
/** The same legs a little off, given to the other side. */
const STOCK_EXCHANGED: Places = {
  leftHip: [106, 102], rightHip: [102, 100], leftKnee: [112, 152], rightKnee: [102, 42], leftAnkle: [82, 192], rightAnkle: [102, 2],
  leftHeel: [78, 198], rightHeel: [98, -2], leftFootIndex: [102, 200], rightFootIndex: [112, -8],
};

describe('stock landmarks refined by the joint head', () => {
  it('all of the head is the head, none of it the stock landmarks as they are', () => {
    const head = points(HEAD);
    const stock = points(STOCK_EXCHANGED, 50);
    expect(at(refineLandmarks(stock, head, 1), 'leftKnee')).toEqual([100, 40]);
    expect([...refineLandmarks(stock, head, 0)]).toEqual([...stock]);
  });

  it('half of it lies on the limb, never between two legs, where the stock model gave the legs to the other side', () => {
    const xy = refineLandmarks(points(STOCK_EXCHANGED, 50), points(HEAD), 0.5);
    expect(at(xy, 'leftKnee')).toEqual([101, 41]);
    expect(at(xy, 'rightKnee')).toEqual([111, 151]);
    expect(at(xy, 'rightAnkle')).toEqual([81, 191]);
    expect(at(xy, 'leftShoulder')).toEqual([50, 50]);
  });

  it('arms and legs are judged apart, and fingers move along with the wrist', () => {
    const head = points({ ...HEAD, leftWrist: [20, 20], rightWrist: [60, 20], leftElbow: [20, 40], rightElbow: [60, 40] });
    const stock = points({ ...HEAD, leftWrist: [62, 20], rightWrist: [22, 20], leftElbow: [62, 40], rightElbow: [22, 40], leftIndex: [62, 10], rightIndex: [22, 10] }, 50);
    const xy = refineLandmarks(stock, head, 0.5);
    expect(at(xy, 'leftWrist')).toEqual([21, 20]);
    expect(at(xy, 'leftIndex')).toEqual([21, 10]);
    expect(at(xy, 'leftKnee')).toEqual([100, 40]);
  });
});
