import { describe, expect, it } from 'vitest';
import { buildScene, frameShownAt, onlyMeasure } from '../../src/overlay/scene.ts';
import { floorPlaces } from '../../src/views/result/floor-places.ts';
import { gaugeSpan } from '../../src/views/result/gauge.tsx';
import { stillCrops } from '../../src/views/result/still-crops.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const NAME = 'sprint-lunge-good';
const truth = readTruthFile(NAME);
const reading = truthReading(truthAnalysis(truth, NAME), truth);

interface FrameAngles {
  readonly t: number;
  readonly angles: Readonly<Record<string, number>>;
  readonly kp3d: Readonly<Record<string, readonly [number, number, number]>>;
}
const frames = truth.frames as unknown as readonly FrameAngles[];

describe('the drawing over a frame', () => {
  it('carries the angles that the renderer states for every frame away from the moments, knees within 0.1° (its pixels have two decimals), the lean within 0.5° (the middle of two seen joints is not the middle joint seen)', () => {
    let compared = 0;
    for (const frame of frames) {
      const passe = buildScene(reading, frame.t, 'passe');
      const launch = buildScene(reading, frame.t, 'launch');
      if (Math.abs(frame.t - 1) < 0.06) continue;
      const lead = passe?.arcs.find((arc) => arc.measure === 'passe.knee');
      const push = launch?.arcs.find((arc) => arc.measure === 'launch.pushKnee');
      const lean = launch?.leans.find((one) => one.measure === 'launch.trunkLean');
      expect(Math.abs((lead?.deg ?? NaN) - (frame.angles['kneeL_2d'] ?? NaN)), `lead knee at ${frame.t}`).toBeLessThan(0.1);
      expect(Math.abs((push?.deg ?? NaN) - (frame.angles['kneeR_2d'] ?? NaN)), `push knee at ${frame.t}`).toBeLessThan(0.1);
      // Upside down the renderer counts on past 180°.
      const stated = frame.angles['trunk_2d'] ?? NaN;
      const apart = Math.abs((lean?.deg ?? NaN) - stated) % 360;
      expect(Math.min(apart, 360 - apart), `lean at ${frame.t}`).toBeLessThan(0.5);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(90);
  });

  it('at the moment itself carries the number of the table', () => {
    const measure = reading.measures['passe.knee'];
    const moment = reading.moments.passe;
    if (measure?.measured !== true || !moment.found) throw new Error('not measured');
    expect(buildScene(reading, moment.t, 'passe')?.arcs[0]?.deg).toBe(measure.value);
  });

  it('without a moment is the body line alone; with one measure pointed out only its mark stays', () => {
    expect(buildScene(reading, 0.5, null)).toMatchObject({ arcs: [], leans: [], spans: [] });
    const scene = buildScene(reading, 0.45, 'set');
    if (scene === null) throw new Error('no scene');
    expect(scene.arcs).toHaveLength(2);
    expect(onlyMeasure(scene, 'set.lungeRatio')).toMatchObject({ arcs: [], leans: [], spans: [{ measure: 'set.lungeRatio' }] });
  });

  it('nothing is drawn outside the track or in a gap', () => {
    expect(buildScene(reading, 10, 'set')).toBeNull();
    const gap = { ...reading, track: { ...reading.track, score: new Float32Array(reading.track.score.length) } };
    expect(buildScene(gap, 0.5, 'set')).toBeNull();
  });

  it('the frame shown at a time is the nearest one, at most one spacing away', () => {
    expect(frameShownAt(reading.track, 0.5)).toBe(30);
    expect(frameShownAt(reading.track, 0.5 + 0.4 / 60)).toBe(30);
    expect(frameShownAt(reading.track, 0.5 + 0.6 / 60)).toBe(31);
    expect(frameShownAt(reading.track, 1.75 + 0.02)).toBeNull();
  });
});

describe('the floor line', () => {
  const floor = floorPlaces(reading);
  const x = (moment: string) => floor.places.find((place) => place.moment === moment)?.xPx ?? NaN;

  it('holds the distance from mark to toes of the lunge that the truth has in metres, within 2 % (perspective of a body 0.1 m off the line)', () => {
    const at = (t: number) => frames[Math.round(t * truth.fps)];
    const toe = at(truth.events.lunge_contact.s)?.kp3d['toeL']?.[0] ?? NaN;
    const mark = at(0.45)?.kp3d['toeR']?.[0] ?? NaN;
    const metres = (x('plant') - x('set')) * truth.camera.metres_per_pixel;
    expect(Math.abs(metres / (toe - mark) - 1)).toBeLessThan(0.02);
  });

  it('runs in the direction of travel: set, launch, plant, hands', () => {
    expect(x('set')).toBeLessThan(x('plant'));
    expect(x('plant')).toBeLessThan(x('hands'));
    expect(floor.ticks.find((tick) => tick.label === 'mark')?.xPx).toBe(x('set'));
    const leg = floor.ticks.find((tick) => tick.label === '1 leg')?.xPx ?? NaN;
    expect(leg - x('set')).toBeCloseTo(reading.legLengthPx, 6);
  });

  it('is marked in metres once there is a scale', () => {
    const scaled = floorPlaces(truthReading(truthAnalysis(truth, NAME), truth, { heightM: 1.58 }));
    const metre = scaled.ticks.find((tick) => tick.label === '1 m')?.xPx ?? NaN;
    expect(metre - x('set')).toBeCloseTo(1 / truth.camera.metres_per_pixel, 6);
  });
});

describe('stills and gauges', () => {
  it('all stills show the same size of floor, and the whole body', () => {
    const crops = [...stillCrops(reading).values()];
    expect(crops).toHaveLength(6);
    expect(new Set(crops.map((crop) => crop.sidePx)).size).toBe(1);
  });

  it('a gauge shows the band with as much again on each side, and at most four bands beyond it', () => {
    const finding = { measure: 'passe.knee', verdict: 'out', side: 'above', value: 60, ci95: [56, 64], band: [45, 65], why: null, weight: 1 } as const;
    expect(gaugeSpan(finding)).toEqual([25, 85]);
    expect(gaugeSpan({ ...finding, ci95: [90, 100] })).toEqual([25, 100]);
    expect(gaugeSpan({ ...finding, ci95: [900, 1000] })).toEqual([25, 145]);
  });
});
