import { describe, expect, test } from 'vitest';
import {
  BODY_FRACTION, KEYPOINT_SIGMA, SEGMENT_MASS, angleBetweenDeg, angleBetweenSdDeg, distance, interiorAngleDeg, interiorAngleSdDeg,
  keypointSimilarity, kneeAngleFromSidesDeg, leanFromVerticalDeg, legLengthFromHeightM, lengthLoss, outOfPlaneScaleError, ratioSd,
  removeRoll, removeYaw, seenAngleDeg, seenAngleOnHorizontalDeg, seenLeanDeg, segmentAngleDeg, segmentAngleSdDeg,
  thighElevationDeg, trueLeanDeg, trueLength, worstAngleErrorDeg,
} from '../../src/geometry/index.ts';
import { LANDMARKS } from '../../src/pose/landmarks.ts';
import { wrapDeg } from '../../src/units/degrees.ts';
import { dimensionlessSpeed, froudeNumber } from '../../src/units/dimensionless-speed.ts';
import { flightHeightErrorM, flightHeightM } from '../../src/units/flight-height.ts';
import { durationSdS, eventSdS } from '../../src/units/frame-timing.ts';
import { tipOverSpeedMS, tipOverTimeS } from '../../src/units/tip-over.ts';
import type { Point } from '../../src/units/point.ts';
import { checkTable, seededRandom } from '../support/check-table.ts';

const p = (x: number, y: number): Point => ({ x, y });
const at = (angleDeg: number, length: number, from: Point = p(0, 0)): Point =>
  p(from.x + length * Math.cos((angleDeg * Math.PI) / 180), from.y + length * Math.sin((angleDeg * Math.PI) / 180));

describe('angles', () => {
  test('a straight leg reads 180°, a right angle 90°, a leg folded flat 0°', () => {
    expect(interiorAngleDeg(p(0, 0), p(0, 50), p(0, 110))).toBe(180);
    expect(interiorAngleDeg(p(0, 0), p(0, 50), p(60, 50))).toBe(90);
    expect(interiorAngleDeg(p(0, 0), p(0, 50), p(0, 10))).toBe(0);
  });

  test('every whole angle from 0° to 180° is read back within 1e-9° (F6)', () => {
    for (let theta = 0; theta <= 180; theta += 1) {
      const knee = p(312.4, 207.9);
      const read = interiorAngleDeg(at(37, 81.3, knee), knee, at(37 + theta, 92.7, knee));
      expect(Math.abs((read ?? Number.NaN) - theta)).toBeLessThanOrEqual(1e-9);
    }
  });

  test('there is no angle without a segment or beside a gap', () => {
    expect(interiorAngleDeg(p(1, 1), p(1, 1), p(2, 2))).toBeNull();
    expect(interiorAngleDeg(p(Number.NaN, 1), p(1, 1), p(2, 2))).toBeNull();
    expect(leanFromVerticalDeg(p(3, 3), p(3, 3), 'left-to-right')).toBeNull();
    expect(thighElevationDeg(p(3, 3), p(3, Number.NaN), 'left-to-right')).toBeNull();
    expect(interiorAngleSdDeg(p(1, 1), p(1, 1), p(2, 2), 1, 1, 1)).toBeNull();
    expect(segmentAngleSdDeg(p(1, 1), p(1, 1), 1, 1)).toBeNull();
    expect(segmentAngleSdDeg(p(1, 1), p(2, 1), Number.NaN, 1)).toBeNull();
    expect(ratioSd(1, 0, 1, 1)).toBeNull();
  });

  test('a trunk 30° toward the travel leans +30° in either direction of travel, 30° back leans −30°, upside down 180°', () => {
    const hip = p(400, 300);
    expect(leanFromVerticalDeg(hip, at(-60, 80, hip), 'left-to-right')).toBeCloseTo(30, 9);
    expect(leanFromVerticalDeg(hip, at(-120, 80, hip), 'right-to-left')).toBeCloseTo(30, 9);
    expect(leanFromVerticalDeg(hip, at(-120, 80, hip), 'left-to-right')).toBeCloseTo(-30, 9);
    expect(leanFromVerticalDeg(hip, p(400, 380), 'left-to-right')).toBe(180);
    expect(leanFromVerticalDeg(hip, p(400, 380), 'right-to-left')).toBe(180);
  });

  test('a thigh is 0° level in front, +20° above, −90° hanging, −120° behind, −180° level behind', () => {
    const hip = p(400, 300);
    expect(thighElevationDeg(hip, p(450, 300), 'left-to-right')).toBe(0);
    expect(thighElevationDeg(hip, at(-20, 50, hip), 'left-to-right')).toBeCloseTo(20, 9);
    expect(thighElevationDeg(hip, at(-160, 50, hip), 'right-to-left')).toBeCloseTo(20, 9);
    expect(thighElevationDeg(hip, p(400, 350), 'left-to-right')).toBe(-90);
    expect(thighElevationDeg(hip, at(120, 50, hip), 'left-to-right')).toBeCloseTo(-120, 9);
    expect(thighElevationDeg(hip, p(350, 300), 'left-to-right')).toBe(-180);
  });

  test('a segment points 0° along the travel, 90° up, 180° against it', () => {
    expect(segmentAngleDeg(p(0, 0), p(-5, 0), 'right-to-left')).toBe(0);
    expect(segmentAngleDeg(p(0, 0), p(0, -5), 'right-to-left')).toBe(90);
    expect(segmentAngleDeg(p(0, 0), p(5, 0), 'right-to-left')).toBe(180);
  });

  test('the angle between two thighs that share no point is read; 3-4-5 measures 5; angles wrap into (−180, 180]', () => {
    expect(angleBetweenDeg(p(0, 0), p(10, 0), p(50, 50), p(50, 40))).toBe(90);
    expect(distance(p(1, 2), p(4, 6))).toBe(5);
    expect([wrapDeg(190), wrapDeg(-180), wrapDeg(540), wrapDeg(-190)]).toEqual([-170, 180, 180, 170]);
  });
});

describe('spread of an angle, against 40,000 drawn positions (seed 11; sd of an sd ≈ 0.35 %, so 2 %)', () => {
  const draws = 40000;
  function sdOf(read: (jitter: (point: Point, sd: number) => Point) => number | null): number {
    const random = seededRandom(11);
    const jitter = (point: Point, sd: number): Point => p(point.x + sd * random.normal(), point.y + sd * random.normal());
    let sum = 0;
    let squares = 0;
    let first = Number.NaN;
    for (let i = 0; i < draws; i += 1) {
      const value = read(jitter) ?? Number.NaN;
      if (i === 0) first = value;
      sum += value - first;
      squares += (value - first) ** 2;
    }
    return Math.sqrt(squares / draws - (sum / draws) ** 2);
  }

  test.each([50, 90, 130, 160])('knee of %s° with unequal segments and spreads', (theta) => {
    const knee = p(500, 400);
    const hip = at(-80, 95, knee);
    const ankle = at(-80 + theta, 88, knee);
    const drawn = sdOf((jitter) => interiorAngleDeg(jitter(hip, 1.5), jitter(knee, 0.8), jitter(ankle, 1.1)));
    expect(interiorAngleSdDeg(hip, knee, ankle, 1.5, 0.8, 1.1)! / drawn).toBeGreaterThan(0.98);
    expect(interiorAngleSdDeg(hip, knee, ankle, 1.5, 0.8, 1.1)! / drawn).toBeLessThan(1.02);
  });

  test('at 180° the angle is folded: its scatter is √(1 − 2/π) = 0.603 of the first-order figure', () => {
    const [hip, knee, ankle] = [p(0, 0), p(0, 90), p(0, 180)];
    const drawn = sdOf((jitter) => interiorAngleDeg(jitter(hip, 1), jitter(knee, 1), jitter(ankle, 1)));
    expect(drawn / interiorAngleSdDeg(hip, knee, ankle, 1, 1, 1)!).toBeCloseTo(Math.sqrt(1 - 2 / Math.PI), 1);
  });

  test('trunk lean, angle between the thighs, lunge ratio', () => {
    const [hip, shoulder] = [p(300, 300), p(340, 200)];
    const lean = sdOf((jitter) => leanFromVerticalDeg(jitter(hip, 2), jitter(shoulder, 1), 'left-to-right'));
    expect(segmentAngleSdDeg(hip, shoulder, 2, 1)! / lean).toBeCloseTo(1, 1.69);
    const [hipL, kneeL, hipR, kneeR] = [p(300, 300), p(380, 320), p(304, 302), p(230, 340)];
    const split = sdOf((jitter) => angleBetweenDeg(jitter(hipL, 1), jitter(kneeL, 2), jitter(hipR, 1), jitter(kneeR, 1)));
    expect(angleBetweenSdDeg(hipL, kneeL, hipR, kneeR, 1, 2, 1, 1)! / split).toBeCloseTo(1, 1.69);
    const random = seededRandom(5);
    const ratios = Array.from({ length: draws }, () => (150 + 3 * random.normal()) / (170 + 2 * random.normal()));
    const mean = ratios.reduce((s, v) => s + v, 0) / draws;
    const sd = Math.sqrt(ratios.reduce((s, v) => s + (v - mean) ** 2, 0) / draws);
    expect(ratioSd(150, 170, 3, 2)! / sd).toBeCloseTo(1, 1.69);
  });
});

describe('camera turned away, exact in the orthographic limit', () => {
  test.each([[5, 0.4], [10, 1.5], [15, 3.4], [20, 6.0], [25, 9.4], [30, 13.4], [45, 29.3]])(
    'CG-1: %s° of yaw shrinks a length by %s percent', (yaw, percent) => {
      expect(Math.abs(100 * lengthLoss(yaw) - percent)).toBeLessThanOrEqual(0.05);
      expect(trueLength(Math.cos((yaw * Math.PI) / 180), yaw)).toBeCloseTo(1, 12);
    });

  test('CG-2: the closed forms agree with shrinking x of drawn points, and removeYaw undoes it', () => {
    const seen = (point: Point, yaw: number): Point => p(point.x * Math.cos((yaw * Math.PI) / 180), point.y);
    for (const yaw of [0, 7, 15, 30, 60]) {
      for (const theta of [20, 60, 90, 120, 150, 180]) {
        const [o, up1, up2] = [p(0, 0), at(-90 - theta / 2, 10), at(-90 + theta / 2, 10)];
        expect(interiorAngleDeg(seen(up1, yaw), o, seen(up2, yaw))).toBeCloseTo(seenAngleDeg(theta, 'vertical', yaw), 9);
        const [fw1, fw2] = [at(-theta / 2, 10), at(theta / 2, 10)];
        expect(interiorAngleDeg(seen(fw1, yaw), o, seen(fw2, yaw))).toBeCloseTo(seenAngleDeg(theta, 'horizontal', yaw), 9);
        expect(interiorAngleDeg(seen(p(10, 0), yaw), o, seen(at(-theta, 10), yaw))).toBeCloseTo(seenAngleOnHorizontalDeg(theta, yaw), 9);
        const tilted = [at(13, 10), at(13 + theta, 8)] as const;
        const undone = tilted.map((q) => removeYaw(seen(q, yaw), 0, yaw));
        expect(interiorAngleDeg(undone[0]!, o, undone[1]!)).toBeCloseTo(theta, 9);
      }
    }
  });

  test.each([
    [90, 5, 0.2], [90, 10, 0.9], [90, 15, 2.0], [90, 20, 3.6], [90, 30, 8.2], [90, 45, 19.5],
    [120, 15, 1.7], [120, 20, 3.1], [120, 30, 7.4], [60, 15, 1.7], [60, 20, 3.1], [60, 30, 7.4],
    [150, 15, 1.0], [150, 20, 1.8], [150, 30, 4.4], [150, 45, 11.5], [180, 45, 0],
  ])('CG-3: a true %s° knee at %s° of yaw is off by at most %s°', (theta, yaw, worst) => {
    expect(Math.abs(worstAngleErrorDeg(theta, yaw) - worst)).toBeLessThanOrEqual(0.051);
  });

  test('CG-3: no direction of the bisector does worse than the two closed forms', () => {
    for (const theta of [60, 90, 120, 150]) {
      for (const yaw of [10, 20, 45]) {
        const k = Math.cos((yaw * Math.PI) / 180);
        let worst = 0;
        for (let turn = 0; turn < 180; turn += 0.5) {
          const [a, b] = [at(turn, 1), at(turn + theta, 1)];
          worst = Math.max(worst, Math.abs(interiorAngleDeg(p(a.x * k, a.y), p(0, 0), p(b.x * k, b.y))! - theta));
        }
        expect(worst).toBeCloseTo(worstAngleErrorDeg(theta, yaw), 2);
      }
    }
  });

  test.each([[15, 44.0], [20, 43.2], [30, 40.9]])('CG-4: a 45° lean seen at %s° of yaw reads %s°', (yaw, seen) => {
    expect(Math.abs(seenLeanDeg(45, yaw) - seen)).toBeLessThanOrEqual(0.05);
    expect(trueLeanDeg(seenLeanDeg(-45, yaw), yaw)).toBeCloseTo(-45, 9);
  });

  test.each([[3, 5.3, 11.1], [5, 3.1, 6.4], [8, 1.9, 3.9], [10, 1.5, 3.1], [15, 1.0, 2.0]])(
    'CG-5: 0.15 m and 0.30 m off the plane at %s m make %s percent and %s percent', (cameraM, near, far) => {
      expect(Math.abs(100 * outOfPlaneScaleError(cameraM, 0.15) - near)).toBeLessThanOrEqual(0.051);
      expect(Math.abs(100 * outOfPlaneScaleError(cameraM, 0.3) - far)).toBeLessThanOrEqual(0.051);
    });

  test('a floor line that drops 4° toward the right is level after its roll is removed; angles stay', () => {
    const about = p(640, 360);
    const [left, right] = [at(184, 500, about), at(4, 500, about)];
    expect(removeRoll(left, about, 4).y).toBeCloseTo(360, 9);
    expect(removeRoll(right, about, 4)).toEqual({ x: expect.closeTo(1140, 9), y: expect.closeTo(360, 9) });
  });

  test('a camera at 90° sees no length and says so', () => {
    expect(() => trueLength(1, 90)).toThrow(RangeError);
    expect(() => outOfPlaneScaleError(1, 1)).toThrow(RangeError);
  });
});

describe('body', () => {
  test('AN-1: body fractions are those of Drillis & Contini', () => {
    const names: Readonly<Record<string, keyof typeof BODY_FRACTION>> = {
      ankle_height: 'ankleHeight', knee_height: 'kneeHeight', hip_height_trochanter: 'hipHeight', shoulder_height: 'shoulderHeight',
      chin_height: 'chinHeight', eye_height: 'eyeHeight', thigh: 'thigh', shank: 'shank', upper_arm: 'upperArm', forearm: 'forearm',
      hand: 'hand', shoulder_width: 'shoulderWidth', hip_width: 'hipWidth', foot_length: 'footLength', foot_width: 'footWidth',
      head_height: 'headHeight', trunk_hip_to_shoulder: 'trunk',
    };
    const rows = checkTable('drillis-contini-fractions');
    expect(rows.length).toBe(Object.keys(BODY_FRACTION).length);
    for (const row of rows) expect(BODY_FRACTION[names[row['quantity']!]!]).toBe(Number(row['fraction_of_stature']));
  });

  test('AN-2: heights of hip, knee and ankle differ by thigh and shank, shoulder and hip by the trunk', () => {
    expect(BODY_FRACTION.hipHeight - BODY_FRACTION.kneeHeight).toBeCloseTo(BODY_FRACTION.thigh, 9);
    expect(BODY_FRACTION.kneeHeight - BODY_FRACTION.ankleHeight).toBeCloseTo(BODY_FRACTION.shank, 9);
    expect(BODY_FRACTION.shoulderHeight - BODY_FRACTION.hipHeight).toBeCloseTo(BODY_FRACTION.trunk, 9);
  });

  test('AN-3, AN-8: thigh + shank is 0.491 of the height, 0.926 of trochanter to floor, and within 0.5 % of de Leva\'s 0.2425 + 0.2493 for men', () => {
    expect(legLengthFromHeightM(1)).toBeCloseTo(0.491, 9);
    expect(legLengthFromHeightM(1) / BODY_FRACTION.hipHeight).toBeCloseTo(0.926, 3);
    expect(Math.abs(legLengthFromHeightM(1) / (0.2425 + 0.2493) - 1)).toBeLessThanOrEqual(0.005);
    expect(() => legLengthFromHeightM(0)).toThrow(RangeError);
  });

  test('AN-4, AN-5: segment masses are those of Winter\'s table and add up to one body', () => {
    const rows = new Map(checkTable('segment-mass-dempster-winter').map((row) => [row['Segment'], row]));
    const names = {
      foot: 'Foot', leg: 'Leg', thigh: 'Thigh', trunk: 'Trunk', headNeck: 'Head neck', upperArm: 'Upper arm', forearm: 'Forearm', hand: 'Hand',
    } as const;
    for (const [key, name] of Object.entries(names)) {
      const segment = SEGMENT_MASS[key as keyof typeof SEGMENT_MASS];
      expect([name, segment.mass, segment.centre]).toEqual([name, Number(rows.get(name)?.['Mass']), Number(rows.get(name)?.['CM prox'])]);
    }
    const m = SEGMENT_MASS;
    const body = 2 * (m.foot.mass + m.leg.mass + m.thigh.mass + m.hand.mass + m.forearm.mass + m.upperArm.mass) + m.trunk.mass + m.headNeck.mass;
    expect(body).toBeCloseTo(1, 9);
  });

  test.each(['male', 'female'])('AN-6, AN-7: thigh and shank centres lie within 0.08 of length of de Leva\'s (%s): two cadaver and scan studies differ by that much', (sex) => {
    const rows = new Map(checkTable(`segment-mass-de-leva-${sex}`).map((row) => [row['Segment'], row]));
    expect(Math.abs(SEGMENT_MASS.thigh.centre - Number(rows.get('Thigh')?.['CM Long']))).toBeLessThanOrEqual(0.08);
    expect(Math.abs(SEGMENT_MASS.leg.centre - Number(rows.get('Shank')?.['CM Long']))).toBeLessThanOrEqual(0.08);
  });

  test('AN-9: the doc page on lengths says that fractions are for adults', async () => {
    const { readFileSync } = await import('node:fs');
    expect(readFileSync(new URL('../../docs/conventions.md', import.meta.url), 'utf8')).toMatch(/under about 12 years/);
  });

  test('AN-10: toe at the support knee bends the passé knee to 42.9° and lifts the thigh to 94.2° from straight down; ankle there 59.9° and 60.3°', () => {
    expect(kneeAngleFromSidesDeg(0.245, 0.359, 0.245)).toBeCloseTo(42.9, 1);
    expect(kneeAngleFromSidesDeg(0.245, 0.246, 0.245)).toBeCloseTo(59.9, 1);
    // The thigh's angle at the hip: opposite to the lower end, sides thigh and hip-to-knee-height.
    expect(Math.abs(kneeAngleFromSidesDeg(0.245, 0.245, 0.359)! - 94.2)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(kneeAngleFromSidesDeg(0.245, 0.245, 0.246)! - 60.3)).toBeLessThanOrEqual(0.5);
    expect(kneeAngleFromSidesDeg(1, 1, 3)).toBeNull();
  });

  test('PK-1, PK-2: keypoint spreads are those of the COCO task; 10 px off on 10,000 px² is worth .847769 at the knee, .896569 hip, .854013 ankle', () => {
    const camel = (name: string): string => name.replace(/_(.)/g, (_, c: string) => c.toUpperCase());
    const rows = checkTable('coco17-keypoint-sigmas');
    expect(rows.map((row) => [camel(row['name']!), Number(row['sigma'])])).toEqual(Object.entries(KEYPOINT_SIGMA));
    expect(Math.abs(keypointSimilarity(10, 10000, KEYPOINT_SIGMA.leftKnee) - 0.847769)).toBeLessThanOrEqual(1e-6);
    expect(Math.abs(keypointSimilarity(10, 10000, KEYPOINT_SIGMA.leftHip) - 0.896569)).toBeLessThanOrEqual(1e-6);
    expect(Math.abs(keypointSimilarity(10, 10000, KEYPOINT_SIGMA.leftAnkle) - 0.854013)).toBeLessThanOrEqual(1e-6);
  });

  test('PK-3: the 33 landmarks stand in the order of the model\'s documentation', () => {
    const camel = (name: string): string => name.replace(/_(.)/g, (_, c: string) => c.toUpperCase());
    expect(checkTable('blazepose33-landmarks').map((row) => camel(row['name']!))).toEqual([...LANDMARKS]);
  });
});

describe('flight, speed and fall', () => {
  test.each([
    [0.2, 0.0491], [0.25, 0.0766], [0.3, 0.1104], [0.32, 0.1256], [0.35, 0.1502], [0.4, 0.1962], [0.45, 0.2483], [0.5, 0.3066], [0.6, 0.4415],
  ])('BA-1: %s s in the air is a rise of %s m', (flightS, heightM) => {
    expect(Math.abs(flightHeightM(flightS) - heightM)).toBeLessThanOrEqual(1e-4);
  });

  test.each([[0.32, 12.3], [0.31, 12.2], [0.33, 13.0], [0.32, 12.5]])(
    'BA-2: children\'s jumps of %s s reach %s cm within 6 percent (means of a curve; Petric et al. 2025, Biomechanics 5(3):56)', (flightS, heightCm) => {
      expect(Math.abs((100 * flightHeightM(flightS)) / heightCm - 1)).toBeLessThanOrEqual(0.06);
    });

  test.each([[30, 3.3], [60, 1.6], [120, 0.8], [240, 0.4]])('BA-3: one frame at %s fps is %s cm of height at 0.40 s', (fps, cm) => {
    expect(Math.abs(100 * flightHeightErrorM(0.4, 1 / fps) - cm)).toBeLessThanOrEqual(0.05);
  });

  test('BA-4: Froude number and dimensionless speed', () => {
    expect([froudeNumber(1.4, 0.9), dimensionlessSpeed(1.4, 0.9)]).toEqual([expect.closeTo(0.222, 3), expect.closeTo(0.471, 3)]);
    expect(froudeNumber(2.1, 0.9)).toBeCloseTo(0.499, 3);
    expect([froudeNumber(3.4, 0.75), dimensionlessSpeed(3.4, 0.75)]).toEqual([expect.closeTo(1.571, 3), expect.closeTo(1.253, 3)]);
    expect([froudeNumber(5, 0.75), dimensionlessSpeed(5, 0.75)]).toEqual([expect.closeTo(3.398, 3), expect.closeTo(1.843, 3)]);
    for (const [leg, speed] of [[0.6, 1.716], [0.7, 1.853], [0.8, 1.981], [0.9, 2.101]] as const) {
      expect(froudeNumber(speed, leg)).toBeCloseTo(0.5, 3);
    }
  });

  test.each([
    [5, 30, 0.9, 0.7526], [10, 30, 0.9, 0.5366], [15, 30, 0.9, 0.4021], [10, 45, 0.9, 0.6668], [15, 45, 0.9, 0.5399], [5, 90, 0.9, 1.1018],
    [10, 90, 0.9, 0.8923], [10, 30, 1, 0.5656], [10, 45, 1, 0.7029], [10, 90, 1, 0.9406],
  ])('BA-5: toppling from %s° to %s° with an equivalent length of %s m takes %s s', (from, to, length, seconds) => {
    expect(Math.abs(tipOverTimeS(from, to, length) - seconds)).toBeLessThanOrEqual(1e-4);
  });

  test('BA-5: stepping the equation of motion θ\'\' = (g/L) sin θ gives the same time within 1e-4 s', () => {
    const rate = 9.81 / 0.9;
    let [theta, speed, t] = [(10 * Math.PI) / 180, 0, 0];
    const h = 1e-4;
    while (theta < Math.PI / 4) {
      const middle = theta + (speed * h) / 2;
      speed += h * rate * Math.sin(middle);
      theta = middle + (speed * h) / 2;
      t += h;
    }
    expect(Math.abs(tipOverTimeS(10, 45, 0.9) - t)).toBeLessThanOrEqual(1.5e-4);
  });

  test('BA-6: for small leans the time tends to acosh(θ₁/θ₀)·√(L/g)', () => {
    const smallAngle = Math.acosh(3) * Math.sqrt(0.9 / 9.81);
    expect(Math.abs(smallAngle - 0.5339)).toBeLessThanOrEqual(1e-4);
    expect(tipOverTimeS(0.01, 0.03, 0.9)).toBeCloseTo(smallAngle, 6);
  });

  test.each([[10, 30, 1.448], [10, 45, 2.214], [15, 45, 2.138]])('BA-7: falling from %s° to %s° on 0.9 m gives %s m/s', (from, to, speed) => {
    expect(Math.abs(tipOverSpeedMS(from, to, 0.9) - speed)).toBeLessThanOrEqual(1e-3);
    expect(() => tipOverSpeedMS(0, to, 0.9)).toThrow(RangeError);
  });

  test.each([[24, 12.03], [25, 11.55], [30, 9.62], [50, 5.77], [60, 4.81], [100, 2.89], [120, 2.41], [240, 1.2]])(
    'ST-8: at %s fps a moment is known to %s ms', (fps, ms) => {
      expect(Math.abs(1000 * eventSdS(1 / fps) - ms)).toBeLessThanOrEqual(0.01);
      expect(durationSdS(1 / fps)).toBeCloseTo(1 / fps / Math.sqrt(6), 12);
    });
});
