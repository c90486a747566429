import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findOnset, findPart, findStretch, travelSpeeds } from '../../workers/find-part.ts';
import type { PersonPath } from '../../workers/contract.ts';
import { boxAt, chooseAthlete, isSureAt, linkPeople, withSighting, type Probe } from '../../workers/link-people.ts';

const box = (x: number, width = 100, height = 300) => ({ x, y: 200, width, height });
const person = (x: number, width?: number, height?: number) => ({ box: box(x, width, height), score: 0.5 });
const times = (count: number, step = 0.3): number[] => Array.from({ length: count }, (_, i) => i * step);

describe('the athlete is the person who travels', () => {
  it('somebody who runs 600 px past somebody who stands is the athlete, through the crossing', () => {
    const probes: Probe[] = times(10).map((t, i) => ({ t, people: [person(600), person(100 + i * 110)] }));
    const athlete = chooseAthlete(linkPeople(probes), null);
    expect(athlete?.sightings.map(({ box: { x } }) => x)).toEqual(times(10).map((_, i) => 100 + i * 110));
  });

  it('the order in which people are listed changes nothing', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 8, maxLength: 8 }), (flips) => {
        const probes: Probe[] = times(8).map((t, i) => {
          const people = [person(700), person(100 + i * 130)];
          return { t, people: flips[i] === true ? people.reverse() : people };
        });
        const athlete = chooseAthlete(linkPeople(probes), null);
        expect(athlete?.sightings.at(-1)?.box.x).toBe(100 + 7 * 130);
        expect(athlete?.sightings).toHaveLength(8);
      }),
    );
  });

  it('a path goes on over one second without a sighting, not over two', () => {
    const seen = (missing: number): readonly PersonPath[] =>
      linkPeople(times(20, 0.2).filter((t) => t < 1 || t >= 1 + missing - 1e-9).map((t) => ({ t, people: [person(300)] })));
    expect(seen(1)).toHaveLength(1);
    expect(seen(2)).toHaveLength(2);
  });

  it('a box six heights away after a third of a second is somebody else', () => {
    const paths = linkPeople([{ t: 0, people: [person(0)] }, { t: 0.3, people: [person(1800)] }]);
    expect(paths).toHaveLength(2);
  });

  it('a tap chooses the person under it, even one who stands still', () => {
    const probes: Probe[] = times(10).map((t, i) => ({ t, people: [person(600), person(100 + i * 30)] }));
    const athlete = chooseAthlete(linkPeople(probes), { t: 1.2, x: 640, y: 300 });
    expect(athlete?.sightings[0]?.box.x).toBe(600);
  });

  it('nobody seen gives no athlete', () => {
    expect(chooseAthlete(linkPeople(times(4).map((t) => ({ t, people: [] }))), null)).toBeNull();
  });
});

describe('the box between sightings lies on the straight line', () => {
  const path: PersonPath = { sightings: [{ t: 1, box: box(100), score: 1 }, { t: 2, box: box(300, 140, 260), score: 1 }] };
  it('a quarter of the way is a quarter of the change', () => {
    expect(boxAt(path, 1.25)).toEqual({ x: 150, y: 200, width: 110, height: 290 });
  });
  it('before the first and after the last it is theirs', () => {
    expect(boxAt(path, 0)?.x).toBe(100);
    expect(boxAt(path, 9)?.x).toBe(300);
  });
});

describe('a run that begins between two sightings', () => {
  const running: PersonPath = { sightings: [{ t: 1, box: box(100), score: 1 }, { t: 2, box: box(700), score: 1 }] };
  it('guesses where the athlete ran 600 px between them, not within 0.2 s of one, nor where the athlete stood', () => {
    expect(isSureAt(running, 1.5)).toBe(false);
    expect(isSureAt(running, 1.15)).toBe(true);
    expect(isSureAt({ sightings: [{ t: 1, box: box(100), score: 1 }, { t: 2, box: box(150), score: 1 }] }, 1.5)).toBe(true);
    expect(isSureAt(running, 0.2)).toBe(true);
    expect(isSureAt(running, 3)).toBe(true);
  });
  it('takes the person seen then who is nearest to the straight line, and nobody who is 1.5 body lengths away', () => {
    const path = withSighting(running, { t: 1.5, people: [person(1100), person(250)] });
    expect(path.sightings.map(({ t, box: { x } }) => [t, x])).toEqual([[1, 100], [1.5, 250], [2, 700]]);
    expect(boxAt(path, 1.5)?.x).toBe(250);
    expect(withSighting(running, { t: 1.5, people: [person(1100)] })).toBe(running);
    expect(withSighting(running, { t: 1.5, people: [] })).toBe(running);
  });
});

/** Stands at x = 100 until `goesAt`, then travels 1000 px in 1.5 s, then stands. */
function pathOf(goesAt: number, endS: number, step: number): PersonPath {
  const sightings = [];
  for (let t = 0; t <= endS; t += step) {
    const part = Math.min(1, Math.max(0, (t - goesAt) / 1.5));
    sightings.push({ t, box: box(100 + 1000 * part), score: 0.6 });
  }
  return { sightings };
}

describe('the part of a long clip that holds the start', () => {
  it('a clip of up to 4 s is measured whole', () => {
    expect(findPart(pathOf(2, 4, 0.3), 4)).toEqual({ fromS: 0, toS: 4, onsetS: null });
  });
  it('begins about 1.2 s before the travel begins, wherever that is, and holds all of it', () => {
    fc.assert(
      fc.property(fc.double({ min: 5, max: 50, noNaN: true }), (goesAt) => {
        const { fromS, toS } = findPart(pathOf(goesAt, 60, 1 / 3), 60);
        // Sightings are a third of a second apart: the beginning is known to about one of them.
        expect(fromS).toBeLessThanOrEqual(goesAt - 0.85);
        expect(fromS).toBeGreaterThan(goesAt - 2.2);
        expect(toS).toBeGreaterThan(goesAt + 1.5);
        expect(toS - fromS).toBeLessThan(8);
      }),
    );
  });
  it('looks 1.4 s apart narrow a minute to a stretch of under 9 s that holds the travel and a second before it', () => {
    fc.assert(
      fc.property(fc.double({ min: 5, max: 50, noNaN: true }), (goesAt) => {
        const { fromS, toS } = findStretch(pathOf(goesAt, 60, 1.4), 60, 1.4);
        expect(fromS).toBeLessThan(goesAt - 1);
        expect(toS).toBeGreaterThan(goesAt + 1.5);
        expect(toS - fromS).toBeLessThan(9);
      }),
    );
  });
  it('looks 1 s apart narrow the begin of the travel to 2 s at most, wherever it is', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 50, noNaN: true }), (goesAt) => {
        const { onset: { fromS, toS }, travel } = findOnset(pathOf(goesAt, 60, 1));
        // A hundredth of the travel in the last look before is too little to be seen.
        expect(fromS).toBeLessThanOrEqual(goesAt);
        expect(toS).toBeGreaterThanOrEqual(goesAt);
        expect(toS - fromS).toBeLessThanOrEqual(2);
        // The fastest of 1.5 s of travel is reached within three looks.
        expect(travel.fromS).toBe(fromS);
        expect(travel.toS).toBeGreaterThan(goesAt + 0.4);
        expect(travel.toS).toBeLessThanOrEqual(goesAt + 3);
      }),
    );
  });
  it('somebody who travels from the first look on is looked at from there to the fastest', () => {
    const path: PersonPath = { sightings: [0, 1, 2, 3].map((t) => ({ t, box: box(200 * t + 100 * t * t), score: 1 })) };
    expect(findOnset(path)).toEqual({ onset: { fromS: 0, toS: 3 }, travel: { fromS: 0, toS: 3 } });
  });
  it('speeds are box heights a second: 300 px in one second at 300 px tall is 1', () => {
    const path: PersonPath = { sightings: [0, 1, 2].map((t) => ({ t, box: box(t * 300), score: 1 })) };
    expect(travelSpeeds(path)).toEqual([{ t: 0.5, heightsPerS: 1 }, { t: 1.5, heightsPerS: 1 }]);
  });
});
