import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findAthlete, spaced } from '../../src/bridge/find-athlete.ts';
import { success } from '../../src/units/outcome.ts';
import type { Looked, Opened } from '../../workers/contract.ts';

const box = (x: number) => ({ x, y: 200, width: 100, height: 300 });

/** A clip at 60 frames a second with a key frame every second. */
function clipOf(durationS: number): Opened {
  const count = Math.round(durationS * 60);
  return {
    clip: {
      fileName: 'clip.mp4', sizeBytes: 1, container: 'MP4', codec: 'avc', widthPx: 1280, heightPx: 720, rotationDeg: 0, durationS,
      fps: { min: 60, median: 60, max: 60 }, frameCount: count, isHdr: false, timeBase: { kind: 'known' },
    },
    times: Float64Array.from({ length: count }, (_, i) => i / 60),
    keyFrames: Array.from({ length: Math.ceil(durationS) }, (_, i) => i * 60),
  };
}

/** A look that sees somebody run from `goesAt` on for 1.5 s at 400 px a second, and a bystander where `isCrowded`. */
function watching(opened: Opened, goesAt: number, isCrowded: boolean) {
  const asked: (readonly number[])[] = [];
  const lookAt = (frames: readonly number[]) => {
    asked.push(frames);
    const probes = frames.map((frame) => {
      const t = opened.times[frame] ?? Number.NaN;
      const x = 100 + 400 * Math.min(Math.max(t - goesAt, 0), 1.5);
      return { t, people: [{ box: box(x), score: 0.8 }, ...(isCrowded ? [{ box: box(1000), score: 0.8 }] : [])] };
    });
    return Promise.resolve(success<Looked>({ probes, failedAtS: null }));
  };
  return { asked, lookAt };
}

const ANY = { trim: null, athleteAt: null };

describe('as few looks as a clip allows', () => {
  it('one person in 3 s: at most 6 looks, at most 0.6 s apart, the whole clip measured', async () => {
    const opened = { ...clipOf(3), keyFrames: [0] };
    const { asked, lookAt } = watching(opened, 1, false);
    const found = await findAthlete(opened, ANY, lookAt);
    expect(asked).toHaveLength(1);
    expect(asked[0]?.length).toBeLessThanOrEqual(6);
    expect(Math.max(...(asked[0] ?? []).slice(1).map((frame, i) => frame - (asked[0]?.[i] ?? 0)))).toBeLessThanOrEqual(36);
    expect(found.ok && found.value.frames).toHaveLength(180);
    expect(found.ok && found.value.part).toEqual({ fromS: 0, toS: 3, proposed: true });
  });

  it('with a key frame every second only these are looked at; one that is missing, or somebody who cannot be the same person, brings the closer looks', async () => {
    const opened = clipOf(3);
    const alone = watching(opened, 1, false);
    const found = await findAthlete(opened, ANY, alone.lookAt);
    expect(alone.asked).toEqual([[0, 60, 120]]);
    expect(found.ok && found.value.athlete.sightings.map(({ t }) => t)).toEqual([0, 1, 2]);
    expect(found.ok && found.value.frames).toHaveLength(180);
    const sparse = watching({ ...opened, keyFrames: [0, 120] }, 1, false);
    await findAthlete({ ...opened, keyFrames: [0, 120] }, ANY, sparse.lookAt);
    expect(sparse.asked[0]?.length).toBeGreaterThan(3);
    const late = watching(opened, 1, false);
    await findAthlete(opened, { trim: { fromS: 0.5, toS: 3 }, athleteAt: null }, late.lookAt);
    expect(late.asked[0]?.[0]).toBe(30);
    // One person at each key frame, but ten body heights apart a second later.
    const asked: (readonly number[])[] = [];
    await findAthlete(opened, ANY, (frames) => {
      asked.push(frames);
      return Promise.resolve(success<Looked>({ probes: frames.map((frame) => ({ t: frame / 60, people: [{ box: box(frame * 50), score: 0.8 }] })), failedAtS: null }));
    });
    expect(asked).toHaveLength(2);
  });

  it('a clip of 5 to 9 s: key frames, then instants 0.3 s apart where the travel begins, for at most 2 s; the part begins 1.2 s before it', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 300, max: 540 }), fc.double({ min: 0.2, max: 0.6, noNaN: true }), async (frames, share) => {
        const opened = clipOf(frames / 60);
        const goesAt = share * opened.clip.durationS;
        const { asked, lookAt } = watching(opened, goesAt, false);
        const found = await findAthlete(opened, ANY, lookAt);
        if (!found.ok) throw new Error(found.problem.kind);
        expect(asked).toHaveLength(2);
        expect(asked[0]).toEqual(opened.keyFrames);
        const closely = (asked[1] ?? []).map((frame) => frame / 60);
        expect(closely.length).toBeGreaterThanOrEqual(4);
        expect(closely.length).toBeLessThanOrEqual(7);
        expect(Math.min(...closely)).toBeLessThan(goesAt + 0.2);
        expect(Math.max(...closely)).toBeGreaterThan(goesAt - 0.2);
        const { fromS, toS } = found.value.part;
        expect(fromS).toBeLessThanOrEqual(Math.max(0, goesAt - 0.8));
        expect(fromS).toBeGreaterThan(goesAt - 2.2);
        expect(toS).toBeGreaterThan(goesAt + 1.5);
      }),
    );
  });

  it.each([['out of view at the end', false], ['others about', true]])('a clip of 6 s, %s: closely from before the travel to its end, nowhere else', async (_, isCrowded) => {
    const opened = clipOf(6);
    const { asked, lookAt } = watching(opened, 2.4, isCrowded);
    const found = await findAthlete(opened, ANY, async (frames) => {
      const looked = await lookAt(frames);
      return looked.ok ? success({ ...looked.value, probes: looked.value.probes.map(({ t, people }) => ({ t, people: !isCrowded && t > 4.5 ? [] : people })) }) : looked;
    });
    expect(asked).toHaveLength(2);
    expect(asked[0]).toEqual(opened.keyFrames);
    const closely = asked[1]?.map((frame) => frame / 60) ?? [];
    expect(closely.at(0)).toBeGreaterThanOrEqual(1);
    expect(closely.at(0)).toBeLessThan(2.4);
    expect(closely.at(-1)).toBeGreaterThan(3.2);
    expect(closely.at(-1)).toBeLessThanOrEqual(4);
    expect(found.ok && found.value.part.fromS).toBeCloseTo(1.2, 0);
  });

  it('a closer look that shows another athlete, who began elsewhere, brings close looks all over', async () => {
    const opened = clipOf(6);
    const asked: (readonly number[])[] = [];
    const found = await findAthlete(opened, ANY, (frames) => {
      asked.push(frames);
      // Somebody walks from 2 s on; whoever runs from 1 s on is not seen at the key frames.
      const probes = frames.map((frame) => {
        const t = frame / 60;
        const walker = { box: box(900 + 200 * Math.min(Math.max(t - 2, 0), 2)), score: 0.8 };
        const runner = { box: box(100 + 400 * Math.min(Math.max(t - 1, 0), 3)), score: 0.8 };
        return { t, people: frame % 60 === 0 ? [walker] : [walker, runner] };
      });
      return Promise.resolve(success<Looked>({ probes, failedAtS: null }));
    });
    expect(asked).toHaveLength(3);
    const all = asked.flat().sort((a, b) => a - b);
    expect(new Set(all).size).toBe(all.length);
    expect(Math.max(...all.slice(1).map((frame, i) => frame - (all[i] ?? 0)))).toBeLessThanOrEqual(18);
    expect(found.ok && found.value.part.fromS).toBeLessThan(0.5);
  });

  it('somebody else in view: the instants between are looked at too, and the one who runs is the athlete', async () => {
    const opened = clipOf(3);
    const { asked, lookAt } = watching(opened, 1, true);
    const found = await findAthlete(opened, ANY, lookAt);
    expect(asked).toHaveLength(2);
    const all = asked.flat().sort((a, b) => a - b);
    expect(new Set(all).size).toBe(all.length);
    expect(Math.max(...all.slice(1).map((frame, i) => frame - (all[i] ?? 0)))).toBeLessThanOrEqual(20);
    expect(found.ok && found.value.athlete.sightings.map(({ t }) => t)).toEqual(all.map((frame) => frame / 60));
    expect(found.ok && found.value.athlete.sightings.at(-1)?.box.x).toBe(700);
  });

  it('a minute: key frames first, then a stretch of under 9 s, and a part that holds the run', async () => {
    await fc.assert(
      fc.asyncProperty(fc.double({ min: 5, max: 50, noNaN: true }), async (goesAt) => {
        const opened = clipOf(60);
        const { asked, lookAt } = watching(opened, goesAt, false);
        const found = await findAthlete(opened, ANY, lookAt);
        if (!found.ok) throw new Error(found.problem.kind);
        expect(asked[0]?.every((frame) => frame % 60 === 0)).toBe(true);
        expect(asked.flat().length).toBeLessThan(50);
        expect(new Set(asked.flat()).size).toBe(asked.flat().length);
        expect(found.value.part.fromS).toBeLessThan(goesAt);
        expect(found.value.part.toS).toBeGreaterThan(goesAt + 1.5);
        expect(found.value.frames.length).toBeLessThan(60 * 8);
        // Standing, 30 frames a second are enough; from well before the travel on every frame is measured.
        const times = [...found.value.frames].map((frame) => frame / 60);
        const gaps = times.slice(1).map((t, i) => ({ t, s: t - (times[i] ?? 0) }));
        expect(gaps.filter(({ t }) => t > goesAt + 0.1).every(({ s }) => s < 1.01 / 60)).toBe(true);
        expect(gaps.every(({ s }) => s < 2.01 / 60)).toBe(true);
        expect(gaps.slice(0, 20).every(({ s }) => s > 1.99 / 60)).toBe(true);
        // Half of the frames up to about the hands for each of two workers.
        expect(times[found.value.likelyNeeded - 1]).toBeGreaterThan(goesAt + 1.5);
        expect(times[found.value.likelyNeeded - 1]).toBeLessThan(goesAt + 3);
      }),
      { numRuns: 30 },
    );
  });

  it('a part that the user chose is looked at alone, and measured as chosen', async () => {
    const opened = clipOf(60);
    const { asked, lookAt } = watching(opened, 31, false);
    const found = await findAthlete(opened, { trim: { fromS: 30, toS: 33 }, athleteAt: null }, lookAt);
    expect(asked.flat().every((frame) => frame >= 1800 && frame <= 1980)).toBe(true);
    expect(found.ok && found.value.part).toEqual({ fromS: 30, toS: 33, proposed: false });
  });

  it('nobody in any look is the problem "nobody-found"', async () => {
    const opened = clipOf(3);
    const found = await findAthlete(opened, ANY, (frames) =>
      Promise.resolve(success<Looked>({ probes: frames.map((frame) => ({ t: frame / 60, people: [] })), failedAtS: null })));
    expect(found).toEqual({ ok: false, problem: { kind: 'nobody-found' } });
  });
});

describe('frames to measure', () => {
  it.each([[30, 30], [60, 60], [120, 120], [240, 120]])('a clip of %i frames a second gives %i a second', (fps, expected) => {
    const times = Float64Array.from({ length: 2 * fps }, (_, i) => i / fps);
    expect(spaced(times, { fromS: 0, toS: 2 }, 1 / 125)).toHaveLength(2 * expected);
  });
  it('uneven times: no two chosen lie closer than nine tenths of the spacing, and none that could be added is left out', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0.001, max: 0.05, noNaN: true }), { minLength: 1, maxLength: 200 }), (steps) => {
        let t = 0;
        const times = Float64Array.from(steps, (step) => (t += step));
        const chosen = spaced(times, { fromS: 0, toS: t }, 0.02).map((frame) => times[frame] ?? Number.NaN);
        chosen.slice(1).forEach((at, i) => {
          expect(at - (chosen[i] ?? 0)).toBeGreaterThanOrEqual(0.018 - 1e-12);
          const between = times.filter((one) => one > (chosen[i] ?? 0) && one < at);
          expect(between.every((one) => one - (chosen[i] ?? 0) < 0.018)).toBe(true);
        });
      }),
    );
  });
});
