import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { asFilmed, cameraByMat, homographyOf, inverse, lensFromEquivalent, marksOnMat, project, scaleByMarks, squareOn, usualLens, yawFromGrowthDeg, type CameraPose, type FloorMat, type Lens } from '../../src/camera/index.ts';
import { solveLinear } from '../../src/camera/solve-linear.ts';
import { leanFromVerticalDeg, seenLeanDeg } from '../../src/geometry/index.ts';
import type { Point } from '../../src/units/point.ts';
import { pinHole, show, type PinHole, type Place } from '../support/pin-hole.ts';

const number = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min, max, noNaN: true });
const setting = fc.record({
  yawDeg: number(-25, 25), tiltDeg: number(-8, 15), rollDeg: number(-6, 6), distanceM: number(3, 12), heightM: number(0.3, 2), focalPx: number(800, 2000),
});
const onPlane = fc.record({ x: number(-1.5, 1.5), y: number(0, 2) });
const poseOf = (s: { yawDeg: number; tiltDeg: number; rollDeg: number; focalPx: number }): CameraPose => ({ ...s, widthPx: 1280, heightPx: 720 });
const place = ({ x, y }: Point): Place => [x, y, 0];

describe('the square-on picture against a pin-hole camera', () => {
  test('any yaw to 25°, tilt and roll: the plane of travel comes out true to scale, focal length / distance pixels a metre (1e-9 of it)', () => {
    fc.assert(fc.property(setting, onPlane, onPlane, (s, p, q) => {
      const camera = pinHole(s);
      const a = squareOn(show(camera, place(p)), poseOf(s));
      const b = squareOn(show(camera, place(q)), poseOf(s));
      const scale = s.focalPx / s.distanceM;
      expect(Math.abs(b.x - a.x - scale * (q.x - p.x))).toBeLessThan(1e-9 * scale * 10);
      expect(Math.abs(b.y - a.y + scale * (q.y - p.y))).toBeLessThan(1e-9 * scale * 10);
    }), { numRuns: 500 });
  });
  test('asFilmed undoes squareOn within 1e-8 px', () => {
    fc.assert(fc.property(setting, fc.record({ x: number(0, 1280), y: number(0, 720) }), (s, p) => {
      const back = asFilmed(squareOn(p, poseOf(s)), poseOf(s));
      expect(Math.hypot(back.x - p.x, back.y - p.y)).toBeLessThan(1e-8);
    }), { numRuns: 500 });
  });
  test('far away it is the closed form: lengths ÷ cos ψ, and a lean of 45° seen as 44.0, 43.2, 40.9° at 15, 20, 30° comes back (CG-1, CG-4)', () => {
    const far = (yawDeg: number): CameraPose => ({ yawDeg, rollDeg: 0, tiltDeg: 0, focalPx: 1e9, widthPx: 1280, heightPx: 720 });
    for (const [yawDeg, seen] of [[15, 44], [20, 43.2], [30, 40.9]] as const) {
      expect(seenLeanDeg(45, yawDeg)).toBeCloseTo(seen, 0.6);
      const hip = { x: 640, y: 360 };
      const lean = (seenLeanDeg(45, yawDeg) * Math.PI) / 180;
      const shoulder = { x: 640 + 100 * Math.sin(lean), y: 360 - 100 * Math.cos(lean) };
      expect(leanFromVerticalDeg(squareOn(hip, far(yawDeg)), squareOn(shoulder, far(yawDeg)), 'left-to-right')).toBeCloseTo(45, 4);
      expect(squareOn({ x: 740, y: 360 }, far(yawDeg)).x - 640).toBeCloseTo(100 / Math.cos((yawDeg * Math.PI) / 180), 4);
    }
  });
  test('a level, straight camera leaves every point where it is', () => {
    expect(squareOn({ x: 17, y: 700 }, poseOf({ yawDeg: 0, tiltDeg: 0, rollDeg: 0, focalPx: 1000 }))).toEqual({ x: 17, y: 700 });
  });
  test('a point that no place before the camera shows is NaN: at 60° yaw the far left of a wide picture', () => {
    expect(squareOn({ x: 1280, y: 360 }, poseOf({ yawDeg: 60, tiltDeg: 0, rollDeg: 0, focalPx: 300 })).x).toBeNaN();
  });
  test('growth of a rod along the picture tells the yaw: d ln(size)/dx = −tan ψ / f (yaw within 1e-3°)', () => {
    fc.assert(fc.property(number(-25, 25), number(900, 1500), (yawDeg, focalPx) => {
      const camera = pinHole({ yawDeg, tiltDeg: 0, rollDeg: 0, distanceM: 5, heightM: 1, focalPx });
      const rod = (x: number): { size: number; x: number } => {
        const top = show(camera, [x, 1.4, 0]);
        const foot = show(camera, [x, 0.6, 0]);
        return { size: foot.y - top.y, x: top.x };
      };
      const [a, b] = [rod(-0.001), rod(0.001)];
      expect(yawFromGrowthDeg(Math.log(b.size / a.size) / (b.x - a.x), focalPx)).toBeCloseTo(yawDeg, 3);
    }), { numRuns: 100 });
  });
});

describe('lenses', () => {
  test('26 mm equivalent on 16:9 of 1920 × 1080 is 1324 px: 26 / 43.27 of the diagonal 2203', () => {
    expect(lensFromEquivalent(26, 1920, 1080).focalPx).toBeCloseTo((26 / 43.2666) * 2202.907, 0);
  });
  test('an unknown phone is the same upright and lying', () => {
    expect(usualLens(1080, 1920)).toEqual(usualLens(1920, 1080));
    expect(() => usualLens(0, 100)).toThrow(RangeError);
    expect(() => lensFromEquivalent(-1, 10, 10)).toThrow(RangeError);
  });
});

const floorMat = (camera: PinHole, left: number, near: number, alongM: number, acrossM: number): FloorMat => ({
  kind: 'mat', alongM, acrossM,
  nearLeft: show(camera, [left, 0, near]), nearRight: show(camera, [left + alongM, 0, near]),
  farRight: show(camera, [left + alongM, 0, near - acrossM]), farLeft: show(camera, [left, 0, near - acrossM]),
});

describe('projection of the floor', () => {
  test('four points of any seen floor carry every other floor point within 1e-6 m, near and far mats alike', () => {
    fc.assert(fc.property(setting, number(0.3, 4), number(0.3, 2), number(-1, 1), number(-1, 1), (s, along, across, x, z) => {
      const camera = pinHole(s);
      const mat = floorMat(camera, -along / 2, across / 2, along, across);
      const h = homographyOf([{ x: 0, y: 0 }, { x: along, y: 0 }, { x: along, y: across }, { x: 0, y: across }], [mat.nearLeft, mat.nearRight, mat.farRight, mat.farLeft]);
      // A lens as low as 0.3 m sees the floor nearly edge-on: the picture then holds little of its depth.
      const seen = project(inverse(h!), show(camera, [x, 0, z]));
      expect(Math.hypot(seen.x - (x + along / 2), seen.y - (across / 2 - z))).toBeLessThan(1e-6);
    }), { numRuns: 300 });
  });
  test('three corners in a line, or all in one point, are no projection; three points are a broken call', () => {
    const line = [{ x: 0, y: 0 }, { x: 1, y: 0 }, { x: 2, y: 0 }, { x: 0, y: 1 }];
    const square = [{ x: 0, y: 0 }, { x: 1, y: 0 }, { x: 1, y: 1 }, { x: 0, y: 1 }];
    expect(homographyOf(square, line)).toBeNull();
    expect(homographyOf(square, square.map(() => ({ x: 5, y: 5 })))).toBeNull();
    expect(() => homographyOf(square.slice(1), square.slice(1))).toThrow(RangeError);
  });
  test('solveLinear: 2x + y = 5, x − y = 1 gives 2 and 1; a singular system gives null; sizes must match', () => {
    expect(solveLinear([[2, 1], [1, -1]], [5, 1])).toEqual([2, 1]);
    expect(solveLinear([[1, 2], [2, 4]], [1, 2])).toBeNull();
    expect(() => solveLinear([[1]], [1, 2])).toThrow(RangeError);
  });
});

describe('the camera out of a mat', () => {
  const sure = (focalPx: number): Lens => ({ focalPx, relativeSd: 1e-9 });
  test('exact taps and a known lens: yaw, roll, tilt within 1e-5°, lens height within 1e-5 m', () => {
    fc.assert(fc.property(setting, (s) => {
      const found = cameraByMat(floorMat(pinHole(s), -1, 0.5, 2, 1), sure(s.focalPx), 1280, 720)!;
      expect(Math.abs(found.yaw.value - s.yawDeg)).toBeLessThan(1e-5);
      expect(Math.abs(found.roll.value - s.rollDeg)).toBeLessThan(1e-5);
      expect(Math.abs(found.tilt.value - s.tiltDeg)).toBeLessThan(1e-5);
      expect(Math.abs(found.heightM - s.heightM)).toBeLessThan(1e-5);
    }), { numRuns: 200 });
  });
  test('a mat seen from above tells the lens too: 1200 px found within 2 % though 900 px was assumed with 100 % doubt', () => {
    const camera = pinHole({ yawDeg: 6, tiltDeg: 15, rollDeg: 1, distanceM: 4, heightM: 1.8, focalPx: 1200 });
    const found = cameraByMat(floorMat(camera, -1.5, 1, 3, 2), { focalPx: 900, relativeSd: 1 }, 1280, 720)!;
    expect(Math.abs(found.lens.focalPx / 1200 - 1)).toBeLessThan(0.02);
    expect(found.lens.relativeSd).toBeLessThan(0.2);
  });
  test('taps off by 0.2 % of the height: the stated spread covers the yaw in 90 to 99 % of 400 cameras (95 ± 4 of counting, either way)', () => {
    const random = normal(7);
    let inside = 0;
    for (let n = 0; n < 400; n++) {
      const yawDeg = 12 * random();
      const camera = pinHole({ yawDeg, tiltDeg: 3, rollDeg: random(), distanceM: 5, heightM: 1.2, focalPx: 1100 });
      const exact = floorMat(camera, -1, 0.5, 2, 1);
      const tapped = (p: Point): Point => ({ x: p.x + 1.44 * random(), y: p.y + 1.44 * random() });
      const mat = { ...exact, nearLeft: tapped(exact.nearLeft), nearRight: tapped(exact.nearRight), farRight: tapped(exact.farRight), farLeft: tapped(exact.farLeft) };
      const found = cameraByMat(mat, { focalPx: 1100, relativeSd: 0.05 }, 1280, 720);
      if (found !== null && Math.abs(found.yaw.value - yawDeg) < 1.96 * found.yaw.sd) inside += 1;
    }
    expect(inside / 400).toBeGreaterThan(0.9);
    expect(inside / 400).toBeLessThan(0.99);
  });
  test('corners tapped the wrong way round are no mat', () => {
    const mat = floorMat(pinHole({ yawDeg: 0, tiltDeg: 5, rollDeg: 0, distanceM: 5, heightM: 1.2, focalPx: 1100 }), -1, 0.5, 2, 1);
    const turned = { ...mat, nearLeft: mat.farLeft, farLeft: mat.nearLeft, nearRight: mat.farRight, farRight: mat.nearRight };
    expect(cameraByMat(turned, usualLens(1280, 720), 1280, 720)).toBeNull();
    expect(() => cameraByMat({ ...mat, alongM: 0 }, usualLens(1280, 720), 1280, 720)).toThrow(RangeError);
  });

  interface TruthCamera { focal_px: number; yaw_deg: number; roll_deg: number; position_m: Place; rotation_cam_to_world_rowmajor: number[]; height_m: number }
  const truths = readdirSync(new URL('../../fixtures/clips/', import.meta.url)).filter((name) => name.endsWith('.truth.json')).slice(0, 4);
  test.each(truths)('the camera of %s comes out of a mat that it would show: yaw and roll within 0.01° (its matrix has six decimals), height within 1 mm', (name) => {
    const truth = JSON.parse(readFileSync(new URL(`../../fixtures/clips/${name}`, import.meta.url), 'utf8')) as { camera: TruthCamera; direction: string };
    const { camera } = truth;
    const m = camera.rotation_cam_to_world_rowmajor;
    const column = (k: number): Place => [m[k]!, m[3 + k]!, m[6 + k]!];
    const pin: PinHole = { at: camera.position_m, right: column(0), up: column(1), back: column(2), focalPx: camera.focal_px, widthPx: 1280, heightPx: 720 };
    // Which way world x goes in the picture depends on the side from which it was filmed.
    const sign = Math.sign(pin.right[0]);
    const x = (along: number): number => camera.position_m[0] + sign * along;
    const z = (towardCamera: number): number => Math.sign(camera.position_m[2]) * towardCamera;
    const mat: FloorMat = {
      kind: 'mat', alongM: 2, acrossM: 1,
      nearLeft: show(pin, [x(-1), 0, z(0.5)]), nearRight: show(pin, [x(1), 0, z(0.5)]), farRight: show(pin, [x(1), 0, z(-0.5)]), farLeft: show(pin, [x(-1), 0, z(-0.5)]),
    };
    const found = cameraByMat(mat, sure(camera.focal_px), 1280, 720)!;
    expect(Math.abs(found.yaw.value + camera.yaw_deg)).toBeLessThan(0.01);
    expect(Math.abs(found.roll.value - camera.roll_deg)).toBeLessThan(0.01);
    expect(Math.abs(found.heightM - camera.height_m)).toBeLessThan(1e-3);
  });
});

describe('metres along the run', () => {
  test('two marks a known distance apart measure every other distance on the line, at any yaw and roll (1e-9 of it)', () => {
    fc.assert(fc.property(setting, number(-1.5, 0), number(0.5, 1.5), number(-1, 1), (s, from, to, x) => {
      const camera = pinHole(s);
      const pose = poseOf(s);
      const scale = scaleByMarks({ kind: 'marks', a: show(camera, [from, 0, 0]), b: show(camera, [to, 0, 0]), apartM: to - from }, pose)!;
      const at = (metres: number): number => squareOn(show(camera, [metres, 0, 0]), pose).x;
      expect(scale.metresPerPixel * (at(x) - at(from))).toBeCloseTo(x - from, 8);
      expect(scale.metresPerPixel).toBeCloseTo(s.distanceM / s.focalPx, 9);
    }), { numRuns: 200 });
  });
  test('straying 0.1 m off a line 5 m away is 2 % in the stated deviation; taps add theirs', () => {
    const pose = poseOf({ yawDeg: 0, tiltDeg: 0, rollDeg: 0, focalPx: 1000 });
    const scale = scaleByMarks({ kind: 'marks', a: { x: 140, y: 600 }, b: { x: 1140, y: 600 }, apartM: 5 }, pose)!;
    expect(scale.metresPerPixel).toBeCloseTo(0.005, 12);
    expect(scale.relativeSd).toBeCloseTo(Math.hypot(0.02, (Math.SQRT2 * 1.44) / 1000), 9);
  });
  test('a mat gives the scale of the athlete’s own line, 0.8 m behind its near edge', () => {
    const s = { yawDeg: 8, tiltDeg: 6, rollDeg: -1, distanceM: 5, heightM: 1.4, focalPx: 1100 };
    const camera = pinHole(s);
    const marks = marksOnMat(floorMat(camera, -1, 0.8, 2, 1.6), [show(camera, [-0.7, 0, 0]), show(camera, [0.6, 0, 0])])!;
    expect(scaleByMarks(marks, poseOf(s))!.metresPerPixel).toBeCloseTo(5 / 1100, 9);
  });
  test('marks on one spot, and a mat without feet on it, give no scale; marks 0 m apart are a broken call', () => {
    const pose = poseOf({ yawDeg: 0, tiltDeg: 0, rollDeg: 0, focalPx: 1000 });
    const spot = { x: 100, y: 100 };
    expect(scaleByMarks({ kind: 'marks', a: spot, b: spot, apartM: 1 }, pose)).toBeNull();
    expect(() => scaleByMarks({ kind: 'marks', a: spot, b: { x: 200, y: 100 }, apartM: 0 }, pose)).toThrow(RangeError);
    const mat = floorMat(pinHole({ yawDeg: 0, tiltDeg: 5, rollDeg: 0, distanceM: 5, heightM: 1, focalPx: 1000 }), -1, 0.5, 2, 1);
    expect(marksOnMat(mat, [])).toBeNull();
  });
});

/** Normal numbers, mean 0 and deviation 1, the same for the same seed. */
function normal(seed: number): () => number {
  let state = seed;
  const uniform = (): number => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return (state + 0.5) / 2147483648;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}
