import type { PersonPath } from './contract.ts';
import type { PictureBox } from './pose/crop.ts';

/** People seen in one probed picture. */
export interface Probe {
  /** Clip seconds. */
  readonly t: number;
  readonly people: readonly { readonly box: PictureBox; readonly score: number }[];
}

/** Longest time without a sighting after which a path may go on, seconds (chosen: a body upside down is often missed). */
const MAX_GAP_S = 1.2;
/** A path may go on over this many steps between probes, where those are far apart. */
const MAX_GAP_PROBES = 2.2;
/** Farthest a box may move between sightings: this many box heights plus this many per second (chosen: a sprint is about 4). */
const MAX_STEP_HEIGHTS = 0.6;
const MAX_SPEED_HEIGHTS = 5;

/**
 * Links sightings over time into one path a person, nearest first, longest step bounded by the speed of a sprint.
 * Probes must be in order of time. Paths come in the order in which they begin.
 */
export function linkPeople(probes: readonly Probe[]): readonly PersonPath[] {
  const paths: { t: number; box: PictureBox; score: number }[][] = [];
  const first = probes[0];
  const final = probes.at(-1);
  const stepS = first === undefined || final === undefined || probes.length < 2 ? 0 : (final.t - first.t) / (probes.length - 1);
  const maxGapS = Math.max(MAX_GAP_S, MAX_GAP_PROBES * stepS);
  for (const probe of probes) {
    const pairs: { path: number; person: number; cost: number }[] = [];
    paths.forEach((sightings, path) => {
      const last = sightings.at(-1);
      if (last === undefined || probe.t - last.t > maxGapS || probe.t <= last.t) return;
      const before = sightings.at(-2);
      const dt = probe.t - last.t;
      const velocity = before === undefined ? { x: 0, y: 0 } : centreVelocity(before, last);
      const size = Math.max(longSide(last.box), 1);
      // Half the last velocity: trusts the motion without flying off when one box was wrong.
      const expected = { x: centre(last.box).x + velocity.x * dt * 0.5, y: centre(last.box).y + velocity.y * dt * 0.5 };
      probe.people.forEach((found, person) => {
        const here = centre(found.box);
        const cost = Math.hypot(here.x - expected.x, here.y - expected.y) / size;
        const ratio = longSide(found.box) / size;
        if (cost <= MAX_STEP_HEIGHTS + MAX_SPEED_HEIGHTS * dt && ratio > 0.4 && ratio < 2.5) {
          pairs.push({ path, person, cost: cost + Math.abs(Math.log(ratio)) });
        }
      });
    });
    pairs.sort((a, b) => a.cost - b.cost);
    const takenPaths = new Set<number>();
    const takenPeople = new Set<number>();
    for (const { path, person } of pairs) {
      const found = probe.people[person];
      if (found === undefined || takenPaths.has(path) || takenPeople.has(person)) continue;
      takenPaths.add(path);
      takenPeople.add(person);
      paths[path]?.push({ t: probe.t, box: found.box, score: found.score });
    }
    probe.people.forEach((found, person) => {
      if (!takenPeople.has(person)) paths.push([{ t: probe.t, box: found.box, score: found.score }]);
    });
  }
  return paths.map((sightings) => ({ sightings }));
}

/**
 * The path of the person who travels farthest across the picture in body lengths; a path seen only once counts as
 * standing still. Null without any path. With `at`, the path whose box at that time is nearest to the point.
 */
export function chooseAthlete(
  paths: readonly PersonPath[],
  at: { readonly t: number; readonly x: number; readonly y: number } | null,
): PersonPath | null {
  let best: PersonPath | null = null;
  let bestValue = -Infinity;
  for (const path of paths) {
    const value = at === null ? travelInLengths(path) : -distanceTo(path, at);
    if (value > bestValue) {
      best = path;
      bestValue = value;
    }
  }
  return best;
}

/** Distance between the extreme box centres of a path along the picture's width, in median box sizes, plus a little for being seen often. */
export function travelInLengths(path: PersonPath): number {
  const xs = path.sightings.map(({ box }) => centre(box).x).sort((a, b) => a - b);
  const sizes = path.sightings.map(({ box }) => longSide(box)).sort((a, b) => a - b);
  const size = sizes[Math.floor(sizes.length / 2)] ?? 1;
  const travel = ((xs.at(-1) ?? 0) - (xs[0] ?? 0)) / Math.max(size, 1);
  const meanScore = path.sightings.reduce((sum, { score }) => sum + score, 0) / Math.max(path.sightings.length, 1);
  // Among people who stand still, the one seen clearly and often is more likely the athlete than a chance find.
  return travel * Math.min(1, path.sightings.length / 3) + 0.1 * meanScore + 0.01 * Math.min(path.sightings.length, 20);
}

/** The path's box at a time: between sightings by straight lines, before the first and after the last that box. Null for an empty path. */
export function boxAt(path: PersonPath, t: number): PictureBox | null {
  const { sightings } = path;
  const after = sightings.findIndex((sighting) => sighting.t >= t);
  if (after === -1) return sightings.at(-1)?.box ?? null;
  const next = sightings[after];
  const previous = sightings[after - 1];
  if (next === undefined) return null;
  if (previous === undefined) return next.box;
  const part = (t - previous.t) / (next.t - previous.t);
  const mix = (a: number, b: number): number => a + (b - a) * part;
  return {
    x: mix(previous.box.x, next.box.x),
    y: mix(previous.box.y, next.box.y),
    width: mix(previous.box.width, next.box.width),
    height: mix(previous.box.height, next.box.height),
  };
}

/** A path is sure of its box this near to a sighting, seconds. */
const SURE_S = 0.2;
/** Between sightings no farther apart than this many box lengths it is sure as well: straight lines do. */
const SURE_LENGTHS = 0.25;
/** Farther than this many box lengths from where the path expects it, a person is somebody else (chosen: a sprint's start in half a second). */
const OTHER_LENGTHS = 1.5;

/** Whether a path knows well enough where its person is at a time: near a sighting, or between two that lie close together. */
export function isSureAt({ sightings }: PersonPath, t: number): boolean {
  const after = sightings.findIndex((sighting) => sighting.t >= t);
  const [previous, next] = [sightings[after - 1], sightings[after]];
  if (previous === undefined || next === undefined) return true;
  if (Math.min(t - previous.t, next.t - t) <= SURE_S) return true;
  return centresApart(previous.box, next.box) <= SURE_LENGTHS * Math.max(longSide(previous.box), longSide(next.box));
}

/** The path with one more sighting: of those seen at that time the one nearest to where it expects its person; unchanged when that is too far. */
export function withSighting(path: PersonPath, { t, people }: Probe): PersonPath {
  const expected = boxAt(path, t);
  if (expected === null) return path;
  const away = ({ box }: { readonly box: PictureBox }): number => centresApart(box, expected) / Math.max(longSide(expected), 1);
  const nearest = people.toSorted((a, b) => away(a) - away(b))[0];
  if (nearest === undefined || away(nearest) > OTHER_LENGTHS) return path;
  return { sightings: [...path.sightings, { t, ...nearest }].sort((a, b) => a.t - b.t) };
}

function distanceTo(path: PersonPath, at: { readonly t: number; readonly x: number; readonly y: number }): number {
  const box = boxAt(path, at.t);
  if (box === null) return Infinity;
  const { x, y } = centre(box);
  const away = Math.min(...path.sightings.map((sighting) => Math.abs(sighting.t - at.t)));
  // A second away from the tapped frame weighs as much as two box lengths.
  return Math.hypot(x - at.x, y - at.y) / Math.max(longSide(box), 1) + 2 * away;
}

function centre(box: PictureBox): { readonly x: number; readonly y: number } {
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** Distance between the centres of two boxes, pixels. */
function centresApart(a: PictureBox, b: PictureBox): number {
  return Math.hypot(centre(a).x - centre(b).x, centre(a).y - centre(b).y);
}

function longSide(box: PictureBox): number {
  return Math.max(box.width, box.height);
}

function centreVelocity(
  before: { readonly t: number; readonly box: PictureBox },
  last: { readonly t: number; readonly box: PictureBox },
): { readonly x: number; readonly y: number } {
  const dt = last.t - before.t;
  return { x: (centre(last.box).x - centre(before.box).x) / dt, y: (centre(last.box).y - centre(before.box).y) / dt };
}
