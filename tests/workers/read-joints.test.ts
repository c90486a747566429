import { describe, expect, it } from 'vitest';
import type { MapView } from '../../workers/pose/network/kernel-network.ts';
import { readJoints } from '../../workers/pose/read-joints.ts';
import type { JointMapLayout } from '../../workers/pose/read-joints.ts';

const joints = ['elbowL', 'elbowR', 'wristL', 'wristR', 'kneeL', 'kneeR', 'ankleL', 'ankleR', 'heelL', 'heelR', 'toeL', 'toeR'];
const layout: JointMapLayout = {
  joints, limbUnitPx: 64, spreadFactors: joints.map(() => 1),
  limbs: [['knee', 'ankle'], ['ankle', 'knee'], ['elbow', 'wrist'], ['wrist', 'elbow']],
};
const channels = 2 * joints.length + 8;
type Point = readonly [number, number];

/** Maps with Gaussian heat (1 cell) at the given crop places with the given weights, and limb maps that are right everywhere near a limb's ends. */
function maps(heat: Readonly<Record<string, readonly (readonly [Point, number])[]>>, limbs: readonly (readonly [number, Point, Point])[]): MapView {
  const out = new Float32Array(64 * 64 * channels);
  joints.forEach((name, joint) => {
    const peaks = heat[name] ?? [[[128, 128], 1]];
    for (let row = 0; row < 64; row += 1) for (let column = 0; column < 64; column += 1) {
      let sum = 1e-9;
      for (const [[x, y], weight] of peaks) sum += weight * Math.exp(-((column - x / 4 + 0.5) ** 2 + (row - y / 4 + 0.5) ** 2) / 2);
      out[(row * 64 + column) * channels + joint] = Math.log(sum);
      out[(row * 64 + column) * channels + joints.length + joint] = Math.log(2);
    }
  });
  for (const [channel, [x, y], [toX, toY]] of limbs) {
    const [column, row] = [Math.floor(x / 4), Math.floor(y / 4)];
    for (let j = row - 3; j <= row + 3; j += 1) for (let i = column - 3; i <= column + 3; i += 1) {
      out[(j * 64 + i) * channels + 2 * joints.length + channel] = (toX - (i + 0.5) * 4) / 64;
      out[(j * 64 + i) * channels + 2 * joints.length + channel + 1] = (toY - (j + 0.5) * 4) / 64;
    }
  }
  return { numbers: out, rows: 64, columns: 64, channels, pitch: channels };
}

const at = (reading: { readonly xy: Float32Array }, name: string): Point => {
  const index = joints.indexOf(name);
  return [reading.xy[index * 2] as number, reading.xy[index * 2 + 1] as number];
};

const frontKnee: Point = [160, 120];
const frontAnkle: Point = [170, 175];
const backKnee: Point = [90, 125];
const backAnkle: Point = [60, 180];
const limbMaps = [
  [0, frontKnee, frontAnkle], [2, frontAnkle, frontKnee], [0, backKnee, backAnkle], [2, backAnkle, backKnee],
] as const;

describe('joints from maps', () => {
  it('a joint lies at the centre of its heat, to a tenth of a pixel between cells', () => {
    for (const [x, y] of [[40, 200], [41.3, 198.1], [102.7, 77.9]] as const) {
      const [gotX, gotY] = at(readJoints(maps({ heelL: [[[x, y], 1]], ankleL: [[[x, y - 8], 1]] }, []), layout), 'heelL');
      expect(Math.abs(gotX - x)).toBeLessThan(0.1);
      expect(Math.abs(gotY - y)).toBeLessThan(0.1);
    }
  });

  it('a stated Laplace spread of 2 px is a standard deviation of 2√2 px', () => {
    expect(readJoints(maps({}, []), layout).sd[0]).toBeCloseTo(2 * Math.SQRT2, 4);
  });

  it('legs whose sides are in doubt are put together limb by limb: a knee never gets the other leg’s ankle', () => {
    // The knees lean to one assignment of sides (60 : 40), the ankles to the opposite one.
    const reading = readJoints(maps({
      kneeL: [[frontKnee, 0.6], [backKnee, 0.4]], kneeR: [[backKnee, 0.6], [frontKnee, 0.4]],
      ankleL: [[frontAnkle, 0.45], [backAnkle, 0.55]], ankleR: [[backAnkle, 0.45], [frontAnkle, 0.55]],
    }, limbMaps), layout);
    const close = (a: Point, b: Point): boolean => Math.hypot(a[0] - b[0], a[1] - b[1]) < 1;
    const isLeftInFront = close(at(reading, 'kneeL'), frontKnee);
    expect(close(at(reading, 'kneeL'), isLeftInFront ? frontKnee : backKnee)).toBe(true);
    expect(close(at(reading, 'ankleL'), isLeftInFront ? frontAnkle : backAnkle)).toBe(true);
    expect(close(at(reading, 'kneeR'), isLeftInFront ? backKnee : frontKnee)).toBe(true);
    expect(close(at(reading, 'ankleR'), isLeftInFront ? backAnkle : frontAnkle)).toBe(true);
  });

  it('two legs are not read off one when both sides favour the same: the other leg is taken too', () => {
    const reading = readJoints(maps({
      kneeL: [[frontKnee, 0.7], [backKnee, 0.3]], kneeR: [[frontKnee, 0.6], [backKnee, 0.4]],
      ankleL: [[frontAnkle, 0.7], [backAnkle, 0.3]], ankleR: [[frontAnkle, 0.6], [backAnkle, 0.4]],
    }, limbMaps), layout);
    expect(at(reading, 'kneeL')[0]).toBeCloseTo(frontKnee[0], 0);
    expect(at(reading, 'kneeR')[0]).toBeCloseTo(backKnee[0], 0);
    expect(at(reading, 'ankleR')[0]).toBeCloseTo(backAnkle[0], 0);
  });

  it('heel and toe go with their own ankle although the other foot is a little hotter', () => {
    const heels: readonly [Point, Point] = [[165, 180], [52, 184]];
    const reading = readJoints(maps({
      kneeL: [[frontKnee, 1]], kneeR: [[backKnee, 1]], ankleL: [[frontAnkle, 1]], ankleR: [[backAnkle, 1]],
      heelL: [[heels[0], 0.45], [heels[1], 0.55]], heelR: [[heels[1], 0.45], [heels[0], 0.55]],
    }, limbMaps), layout);
    expect(at(reading, 'heelL')[0]).toBeCloseTo(heels[0][0], 0);
    expect(at(reading, 'heelR')[0]).toBeCloseTo(heels[1][0], 0);
  });

  it('maps of another size are refused', () => {
    expect(() => readJoints({ ...maps({}, []), channels: 10 }, layout)).toThrow(RangeError);
  });
});
