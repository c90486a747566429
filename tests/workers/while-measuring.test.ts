import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../../src/pose/landmarks.ts';
import type { Progress } from '../../workers/contract.ts';
import { QualityMeter, regionFacts } from '../../workers/measure-quality.ts';
import { frameRates } from '../../workers/open-clip.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { ProgressMeter } from '../../workers/progress-meter.ts';
import { HandsWatch } from '../../workers/watch-hands.ts';

describe('frame rates out of presentation times', () => {
  it('even sixtieths read 60 three times', () => {
    const { min, median, max } = frameRates(Array.from({ length: 61 }, (_, i) => i / 60), 1 / 60);
    expect([min, median, max].map((rate) => rate.toFixed(6))).toEqual(['60.000000', '60.000000', '60.000000']);
  });
  it('one dropped frame at 30 halves the slowest rate only', () => {
    const { min, median, max } = frameRates([0, 1, 2, 4, 5, 6, 7].map((n) => n / 30), 1 / 30);
    expect(min).toBeCloseTo(15, 9);
    expect(median).toBeCloseTo(30, 9);
    expect(max).toBeCloseTo(30, 9);
  });
  it('a single frame of 40 ms reads 25, one of no length 0', () => {
    expect(frameRates([0], 0.04).median).toBeCloseTo(25, 9);
    expect(frameRates([0], 0).median).toBe(0);
  });
});

/** Landmarks of a body whose trunk leans by `leanDeg` from upright, wrists a trunk's length beyond the shoulders. */
function leaning(leanDeg: number): Float32Array {
  const xy = new Float32Array(LANDMARK_COUNT * 2);
  const put = (name: LandmarkName, x: number, y: number): void => {
    xy[LANDMARK_INDEX[name] * 2] = x;
    xy[LANDMARK_INDEX[name] * 2 + 1] = y;
  };
  const x = Math.sin((leanDeg * Math.PI) / 180);
  const y = -Math.cos((leanDeg * Math.PI) / 180);
  for (const side of ['left', 'right'] as const) {
    put(`${side}Hip`, 500, 400);
    put(`${side}Shoulder`, 500 + 100 * x, 400 + 100 * y);
    put(`${side}Wrist`, 500 + 200 * x, 400 + 200 * y);
  }
  return xy;
}

describe('measuring of a proposed part ends 0.35 s after the body is upside down', () => {
  const endOf = (lean: (t: number) => number | null): number | null => {
    const watch = new HandsWatch();
    for (let i = 0; i < 240; i += 1) {
      const t = i / 60;
      if (watch.isOver(t)) return t;
      const degrees = lean(t);
      watch.add(t, degrees === null ? null : leaning(degrees));
    }
    return null;
  };
  it('upside down from 1.5 s on ends at 1.85 s', () => {
    expect(endOf((t) => (t < 1.5 ? 20 : 170))).toBeCloseTo(1.85, 2);
  });
  it('a low stance leaning 60°, even a dip to 100°, never ends it', () => {
    expect(endOf(() => 60)).toBeNull();
    expect(endOf(() => 100)).toBeNull();
  });
  it('two slipped frames upside down do not end it; a gap does not restart the count', () => {
    expect(endOf((t) => (t > 1 && t < 1.03 ? 180 : 10))).toBeNull();
    expect(endOf((t) => (t < 1.5 ? 20 : t > 1.52 && t < 1.54 ? null : 170))).toBeCloseTo(1.85, 2);
  });
});

describe('progress', () => {
  it('never runs back, never comes more than 12.5 times a second within a stage but for its end, and ends at 1', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 60 }), { minLength: 50, maxLength: 200 }), (steps) => {
        let now = 0;
        const reports: (Progress & { at: number })[] = [];
        const meter = new ProgressMeter((progress) => reports.push({ ...progress, at: now }), () => now);
        for (const stage of ['reading', 'preparing', 'finding', 'measuring'] as const) {
          meter.enter(stage);
          steps.forEach((ms, i) => {
            now += ms;
            meter.at((i + 1) / steps.length);
          });
        }
        reports.forEach((report, i) => {
          const before = reports[i - 1];
          if (before === undefined) return;
          expect(report.fraction).toBeGreaterThanOrEqual(before.fraction);
          const isEnd = reports[i + 1]?.stage !== report.stage;
          if (report.stage === before.stage && !isEnd) expect(report.at - before.at).toBeGreaterThanOrEqual(80);
        });
        expect(reports.at(-1)?.fraction).toBe(1);
      }),
    );
  });
  it('half way through a stage that took 2 s, 2 s of it are left', () => {
    let now = 0;
    const reports: Progress[] = [];
    const meter = new ProgressMeter((progress) => reports.push(progress), () => now);
    meter.enter('measuring');
    now = 2000;
    meter.at(0.5);
    expect(reports.at(-1)?.secondsLeft).toBeCloseTo(2, 9);
  });
});

/** A picture of 8-bit luma, 64 × 64, full range, turned as asked. */
function luma(value: (x: number, y: number) => number, rotationDeg: Picture['rotationDeg'] = 0): Picture {
  const bytes = new Uint8Array(64 * 96).fill(128);
  for (let y = 0; y < 64; y += 1) for (let x = 0; x < 64; x += 1) bytes[y * 64 + x] = value(x, y);
  return {
    format: 'I420', codedWidth: 64, codedHeight: 64, bytes, matrix: 'bt709', range: 'full', rotationDeg, widthPx: 64, heightPx: 64,
    layout: [{ offset: 0, stride: 64 }, { offset: 4096, stride: 32 }, { offset: 5120, stride: 32 }],
  };
}

describe('facts of the picture around the athlete', () => {
  const whole = { x: 0, y: 0, width: 64, height: 64 };
  it('an even grey of 51 is 0.2 bright and has no sharpness', () => {
    expect(regionFacts(luma(() => 51), whole)).toEqual({ mean: expect.closeTo(0.2, 9) as number, sharpness: null });
  });
  it('black and white in turn, pixel by pixel, is the sharpest: neighbours differ by twice the spread', () => {
    expect(regionFacts(luma((x, y) => ((x + y) % 2) * 255), whole).sharpness).toBeCloseTo(2, 1);
  });
  it('a slope across 64 pixels is soft: one step over a spread of 64 / √12 is 0.054', () => {
    expect(regionFacts(luma((x) => x * 4), whole).sharpness).toBeCloseTo(Math.sqrt(12) / 64, 2);
  });
  it('the left half as shown is read, whichever way the picture is stored', () => {
    const left = { x: 0, y: 0, width: 32, height: 64 };
    // Stored upside down, the shown left half lies on the right.
    expect(regionFacts(luma((x) => (x < 32 ? 0 : 255), 180), left).mean).toBeCloseTo(1, 9);
    expect(regionFacts(luma((x) => (x < 32 ? 0 : 255), 0), left).mean).toBeCloseTo(0, 9);
  });
  it('a gap is one value a frame too, and it is no number', () => {
    const meter = new QualityMeter();
    meter.add(0, luma(() => 51), null);
    expect(meter.arrays()).toEqual({ backgroundSteps: Float64Array.of(Number.NaN, Number.NaN, Number.NaN), heightPx: Float32Array.of(Number.NaN), brightness: Float32Array.of(Number.NaN), sharpness: Float32Array.of(Number.NaN) });
  });
});
