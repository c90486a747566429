import type { MapView } from './network/kernel-network.ts';

/** Joints read from the maps of the joint head, in crop pixels. */
export interface JointReading {
  /** joints × 2, x then y. */
  readonly xy: Float32Array;
  /** joints × 1: one standard deviation of x and of y in crop pixels. */
  readonly sd: Float32Array;
  /** joints × 1, 0 to 1: share of the joint's heat that lies around the place chosen. */
  readonly mass: Float32Array;
}

/** What the maps hold. */
export interface JointMapLayout {
  /** Joint names in the order of the maps; the sides are the last letter, L or R. */
  readonly joints: readonly string[];
  /** Pairs of joints with a map of where the second of the same limb lies, seen from the first of either side. */
  readonly limbs: readonly (readonly [string, string])[];
  /** Crop pixels for a limb map's 1. */
  readonly limbUnitPx: number;
  /** Factors by which the stated spread is multiplied, one a joint. */
  readonly spreadFactors: readonly number[];
}

const GRID = 64;
const CELLS = GRID * GRID;
const CELL_PX = 4;
/** Cells so far below the joint's highest, before the exponential, hold no heat. */
const DEPTH = 16;
/** Half-width in cells of the window whose mean gives the place. */
const REACH = 4;
/** Half-width in cells of the window whose heat counts for a candidate. */
const CANDIDATE_REACH = 3;
const CANDIDATES = 3;
const CANDIDATE_MINIMUM = 0.002;
// Weights of the leg and arm assignment, chosen on rendered pictures of held-out bodies (docs/joint-head.md).
const SIDE_FLOOR = 0.05;
const LIMB_WEIGHT = 1;
const COVER_WEIGHT = 6;
const LIMB_SCALE_PX = 16;
const LIMB_LIMIT = 4;
const FOOT_SCALE_PX = 12;
const OWN_MAP_MINIMUM = 0.15;
const LAPLACE_SD = Math.SQRT2;

/** Where the heat is worked out, and the cells that hold any of one joint's, used again for every picture. */
let heatRoom = new Float32Array(0);
const warmRoom = new Int32Array(CELLS);

interface Candidate {
  readonly column: number;
  readonly row: number;
  /** Heat of the left and of the right joint around the candidate. */
  readonly left: number;
  readonly right: number;
}

/**
 * Joint centres from the maps of the joint head, 64 × 64 pixels. Knees with ankles and elbows with wrists are
 * put together limb by limb, so that one leg never gets the other's knee; heels and toes go with their ankle.
 */
export function readJoints({ numbers: maps, pitch, ...shape }: MapView, layout: JointMapLayout): JointReading {
  const count = layout.joints.length;
  const channels = 2 * count + 2 * layout.limbs.length;
  if (shape.rows !== GRID || shape.columns !== GRID || shape.channels !== channels) {
    throw new RangeError(`maps are ${GRID} × ${GRID} × ${channels}, got ${shape.rows} × ${shape.columns} × ${shape.channels}`);
  }
  const { heat, peaks } = heatOf(maps, count, pitch);
  const reading = { xy: new Float32Array(count * 2), sd: new Float32Array(count), mass: new Float32Array(count) };
  const place = (joint: number, source: number, column: number, row: number): void => {
    const { mass, x, y, logSpread } = windowMean(heat, maps, pitch, count, source, column, row);
    reading.xy[joint * 2] = x;
    reading.xy[joint * 2 + 1] = y;
    reading.mass[joint] = mass;
    reading.sd[joint] = LAPLACE_SD * Math.exp(Math.max(-3, Math.min(5, logSpread))) * (layout.spreadFactors[joint] ?? 1);
  };
  for (let joint = 0; joint < count; joint += 1) {
    const peak = peaks[joint] as number;
    place(joint, joint, peak % GRID, Math.floor(peak / GRID));
  }

  const index = (name: string, side: 'L' | 'R'): number => {
    const found = layout.joints.indexOf(`${name}${side}`);
    if (found < 0) throw new RangeError(`no joint ${name}${side}`);
    return found;
  };
  const candidatesOf = (name: string): Candidate[] => candidates(heat, index(name, 'L'), index(name, 'R'));
  const settle = (name: string, side: 'L' | 'R', at: Candidate): void => {
    const own = side === 'L' ? at.left : at.right;
    const other = side === 'L' ? at.right : at.left;
    const source = own > OWN_MAP_MINIMUM || own >= other ? index(name, side) : index(name, side === 'L' ? 'R' : 'L');
    place(index(name, side), source, at.column, at.row);
  };

  for (let pair = 0; pair + 1 < layout.limbs.length; pair += 2) {
    const [from, to] = layout.limbs[pair] as readonly [string, string];
    const starts = candidatesOf(from);
    const ends = candidatesOf(to);
    const apart = starts.map((start) => ends.map((end) => limbMisfit(maps, pitch, 2 * count + 2 * pair, start, end, layout.limbUnitPx)));
    let best = -Infinity;
    let chosen: readonly Candidate[] = [];
    for (const [i, leftStart] of starts.entries()) for (const [j, leftEnd] of ends.entries()) {
      for (const [k, rightStart] of starts.entries()) for (const [l, rightEnd] of ends.entries()) {
        const score = Math.log(leftStart.left + SIDE_FLOOR) + Math.log(leftEnd.left + SIDE_FLOOR)
          + Math.log(rightStart.right + SIDE_FLOOR) + Math.log(rightEnd.right + SIDE_FLOOR)
          - LIMB_WEIGHT * ((apart[i]?.[j] ?? LIMB_LIMIT) + (apart[k]?.[l] ?? LIMB_LIMIT))
          + COVER_WEIGHT * (covered(leftStart, rightStart) + covered(leftEnd, rightEnd));
        if (score > best) {
          best = score;
          chosen = [leftStart, leftEnd, rightStart, rightEnd];
        }
      }
    }
    const [leftStart, leftEnd, rightStart, rightEnd] = chosen;
    if (leftStart === undefined || leftEnd === undefined || rightStart === undefined || rightEnd === undefined) continue;
    settle(from, 'L', leftStart);
    settle(to, 'L', leftEnd);
    settle(from, 'R', rightStart);
    settle(to, 'R', rightEnd);
  }

  for (const name of ['heel', 'toe']) {
    const options = candidatesOf(name);
    for (const side of ['L', 'R'] as const) {
      const ankle = index('ankle', side);
      let best = -Infinity;
      let chosen: Candidate | undefined;
      for (const option of options) {
        const distance = Math.hypot(
          (option.column + 0.5) * CELL_PX - (reading.xy[ankle * 2] as number),
          (option.row + 0.5) * CELL_PX - (reading.xy[ankle * 2 + 1] as number),
        );
        const score = Math.log((side === 'L' ? option.left : option.right) + 0.01) - distance / FOOT_SCALE_PX;
        if (score > best) {
          best = score;
          chosen = option;
        }
      }
      if (chosen !== undefined) settle(name, side, chosen);
    }
  }
  return reading;
}

/** joints × 64 × 64, each summing to 1, and the hottest cell of each joint. The numbers hold until the next call. */
function heatOf(maps: Float32Array, count: number, pitch: number): { readonly heat: Float32Array; readonly peaks: Int32Array } {
  if (heatRoom.length < count * CELLS) heatRoom = new Float32Array(count * CELLS);
  const heat = heatRoom;
  const peaks = new Int32Array(count);
  for (let joint = 0; joint < count; joint += 1) {
    const first = joint * CELLS;
    let top = -Infinity;
    // All joints of a cell at once would write to rows 16 KiB apart, which push each other out of the nearest cache.
    for (let cell = 0; cell < CELLS; cell += 1) {
      const value = maps[cell * pitch + joint] as number;
      heat[first + cell] = value;
      if (value > top) top = value;
    }
    let warm = 0;
    let sum = 0;
    for (let at = first; at < first + CELLS; at += 1) {
      const depth = (heat[at] as number) - top;
      if (depth < -DEPTH) {
        heat[at] = 0;
        continue;
      }
      const value = Math.exp(depth);
      heat[at] = value;
      sum += value;
      warmRoom[warm] = at;
      warm += 1;
    }
    const scale = 1 / sum;
    let hottest = 0;
    for (let i = 0; i < warm; i += 1) {
      const at = warmRoom[i] as number;
      const value = Math.fround((heat[at] as number) * scale);
      heat[at] = value;
      if (value > hottest) {
        hottest = value;
        peaks[joint] = at - first;
      }
    }
  }
  return { heat, peaks };
}

function windowMean(
  heat: Float32Array, maps: Float32Array, pitch: number, count: number, joint: number, column: number, row: number,
): { readonly mass: number; readonly x: number; readonly y: number; readonly logSpread: number } {
  let mass = 1e-12;
  let sumX = 0;
  let sumY = 0;
  let sumSpread = 0;
  for (let j = Math.max(0, row - REACH); j <= Math.min(GRID - 1, row + REACH); j += 1) {
    for (let i = Math.max(0, column - REACH); i <= Math.min(GRID - 1, column + REACH); i += 1) {
      const value = heat[joint * CELLS + j * GRID + i] as number;
      mass += value;
      sumX += value * i;
      sumY += value * j;
      sumSpread += value * (maps[(j * GRID + i) * pitch + count + joint] as number);
    }
  }
  return { mass, x: (sumX / mass + 0.5) * CELL_PX, y: (sumY / mass + 0.5) * CELL_PX, logSpread: sumSpread / mass };
}

function heatAround(heat: Float32Array, joint: number, column: number, row: number): number {
  let mass = 0;
  for (let j = Math.max(0, row - CANDIDATE_REACH); j <= Math.min(GRID - 1, row + CANDIDATE_REACH); j += 1) {
    for (let i = Math.max(0, column - CANDIDATE_REACH); i <= Math.min(GRID - 1, column + CANDIDATE_REACH); i += 1) {
      mass += heat[joint * CELLS + j * GRID + i] as number;
    }
  }
  return mass;
}

/** Up to three places where the joint of either side may be, the hottest first. */
function candidates(heat: Float32Array, left: number, right: number): Candidate[] {
  const lefts = heat.subarray(left * CELLS, (left + 1) * CELLS);
  const rights = heat.subarray(right * CELLS, (right + 1) * CELLS);
  const total = (cell: number): number => Math.fround((lefts[cell] as number) + (rights[cell] as number));
  let warm: number[] = [];
  let peak = 0;
  let hottest = 0;
  for (let cell = 0; cell < CELLS; cell += 1) {
    const value = Math.fround((lefts[cell] as number) + (rights[cell] as number));
    if (value >= CANDIDATE_MINIMUM) warm.push(cell);
    if (value > hottest) {
      hottest = value;
      peak = cell;
    }
  }
  const found: Candidate[] = [];
  for (;;) {
    const column = peak % GRID;
    const row = Math.floor(peak / GRID);
    found.push({ column, row, left: heatAround(heat, left, column, row), right: heatAround(heat, right, column, row) });
    warm = warm.filter((cell) => Math.abs((cell % GRID) - column) > CANDIDATE_REACH || Math.abs(Math.floor(cell / GRID) - row) > CANDIDATE_REACH);
    if (found.length === CANDIDATES || warm.length === 0) return found;
    peak = warm.reduce((best, cell) => (total(cell) > total(best) ? cell : best));
  }
}

function covered(a: Candidate, b: Candidate): number {
  const heat = (candidate: Candidate): number => Math.min(1, candidate.left + candidate.right);
  return a === b ? heat(a) : heat(a) + heat(b);
}

/** How badly two candidates fit as the ends of one limb, seen from both ends; 0 = exactly, at most LIMB_LIMIT. */
function limbMisfit(maps: Float32Array, pitch: number, channel: number, start: Candidate, end: Candidate, unitPx: number): number {
  const there = (end.column - start.column) * CELL_PX;
  const down = (end.row - start.row) * CELL_PX;
  const at = (candidate: Candidate, offset: number): number => (maps[(candidate.row * GRID + candidate.column) * pitch + channel + offset] as number) * unitPx;
  const misfit = Math.hypot(at(start, 0) - there, at(start, 1) - down) + Math.hypot(at(end, 2) + there, at(end, 3) + down);
  return Math.min(misfit / LIMB_SCALE_PX, LIMB_LIMIT);
}
