import { followedBy, inverse, moved, STILL, type Motion } from '../src/geometry/motion.ts';
import type { Point } from '../src/units/point.ts';
import { meanLuma } from './luma-reader.ts';
import type { PictureBox } from './pose/crop.ts';
import { composeAffine, displayToCoded, invertAffine, type Affine, type Picture } from './pose/picture.ts';

/** The picture is looked at about this many samples wide along its longer side. */
const SAMPLES_LONG = 640;
/** Half the side of a patch, samples. */
const HALF = 7;
const SIDE = 2 * HALF + 1;
/** A patch is looked for this far from where it is expected, samples; more than a hand shakes from one picture to the next. */
const REACH = 5;
/** Most patches are found this near to where they are expected; the picture farther off is read only for the others. */
const NEAR = 1;
/** Patches are chosen out of tiles with this side, samples; three of them make a patch's. */
const TILE = SIDE / 3;
const SUMS = 5;
/** At most one patch is taken from each of so many fields across and down, and so many in all. */
const FIELDS = 10;
const MOST_PATCHES = 20;
/** A patch must have slopes in every direction, beside an even one: the smaller mean squared one, luma 0 to 1 a sample. Chosen: 1.8 of 255, a little above what coding leaves on a flat wall. */
const LEAST_SLOPE = 5e-5;
/** Fewer patches than this that agree tell nothing. Chosen. */
const FEWEST = 4;
/** Patches agree within this many samples. Chosen: a pixel of a picture of 1280. */
const AGREE = 0.5;
/** Two patches tell a turn when they lie at least this far apart, samples. */
const APART = 40;
/** How far one patch is off, samples, and how far a hand turns a camera from one picture to the next, radians, one standard deviation. Chosen. */
const PATCH_SD = 0.15;
const TURN_SD = 0.004;
/** A patch that looks this different, share of its own variance, is another one: something stands before it. */
const MOST_CHANGED = 0.4;
/** The athlete's box, grown by this share on all sides, is no background: clothes, hair and shadow reach beyond the joints. */
const GROWN = 0.2;
/** Where fewer patches than this are in view, new ones are taken. */
const RENEW_BELOW = 8;
/** New patches are sought at most once in so many pictures. */
const RENEW_EVERY = 15;
const ROUNDS = 6;
/** A round that moves a patch by less than this has arrived, samples. */
const ARRIVED = 0.01;

/** A piece of the background as it was when it was chosen; x and y are its middle then, samples. */
interface Patch extends Point {
  /** SIDE × SIDE luma and its slopes, each less its mean. */
  readonly luma: Float32Array;
  readonly slopeX: Float32Array;
  readonly slopeY: Float32Array;
  /** Inverse of the sums of the squared slopes. */
  readonly inverse: readonly [xx: number, xy: number, yy: number];
  readonly variance: number;
}

/**
 * Follows the still background through the frames of a clip: corners of it are chosen in one picture and found again in
 * every later one (Shi and Tomasi 1994, "Good features to track"; Baker and Matthews 2004, "Lucas–Kanade 20 years on",
 * inverse compositional), so that errors do not add up from frame to frame. The turn and shift on which most corners agree
 * count; what moves by itself before the background is outvoted. Frames must come in order of time.
 */
export class BackgroundWatch {
  #patches: readonly Patch[] = [];
  /** Where the background lay when the patches were chosen, and in the last picture in which it was found; samples. */
  #chosenAt: Motion = STILL;
  #last: Motion = STILL;
  #speed: Point = { x: 0, y: 0 };
  #sinceChosen = RENEW_EVERY;
  #isFirst = true;

  /** How the background moved from the first picture to this one, display pixels; null where it cannot be told. */
  motionIn(picture: Picture, athlete: PictureBox | null): Motion | null {
    const samples = new Samples(picture);
    const isAthlete = samples.within(athlete);
    const since = this.#isFirst ? STILL : this.#find(samples, isAthlete);
    this.#isFirst = false;
    this.#sinceChosen += 1;
    const known = since === null ? null : followedBy(this.#chosenAt, since);
    if (known !== null) {
      this.#speed = { x: known.x - this.#last.x, y: known.y - this.#last.y };
      this.#last = known;
    }
    const sinceThen = followedBy(inverse(this.#chosenAt), this.#last);
    const inView = this.#patches.filter((patch) => {
      const { x, y } = moved(patch, sinceThen);
      return samples.holds(x, y);
    }).length;
    if (inView < RENEW_BELOW && this.#sinceChosen >= RENEW_EVERY) {
      // Lost for good, or seen for the first time: new corners are taken to lie where the background was last found.
      this.#patches = choosePatches(samples, isAthlete);
      this.#chosenAt = this.#last;
      this.#sinceChosen = 0;
    }
    return known === null || this.#patches.length < FEWEST ? null : samples.toDisplay(known);
  }

  /** The motion since the patches were chosen. */
  #find(samples: Samples, isAthlete: (column: number, row: number) => boolean): Motion | null {
    const last = followedBy(inverse(this.#chosenAt), this.#last);
    for (const guess of [{ ...last, x: last.x + this.#speed.x, y: last.y + this.#speed.y }, last]) {
      const found = this.#patches.flatMap((from): Found[] => {
        const { x, y } = moved(from, guess);
        if (isAthlete(x, y)) return [];
        const to = follow(from, samples, { x, y });
        return to === null ? [] : [{ from, to }];
      });
      const motion = commonMotion(found, last.turnRad);
      if (motion !== null) return motion;
    }
    return null;
  }
}

/** Where a patch was and where it is, samples. */
interface Found {
  readonly from: Point;
  readonly to: Point;
}

/** The turn and shift on which most patches agree, null where too few do. `usualTurnRad` is where the turn is expected. */
function commonMotion(found: readonly Found[], usualTurnRad: number): Motion | null {
  let best = STILL;
  let most = 0;
  const consider = (motion: Motion): void => {
    const agreeing = agreeingWith(motion, found).length;
    if (agreeing <= most) return;
    best = motion;
    most = agreeing;
  };
  // With a camera at rest the first trial mostly has all of them already: no other can have more.
  for (let i = 0; i < found.length && most < found.length; i += 1) {
    const a = found[i]!;
    consider(fitted([a], usualTurnRad));
    for (let k = i + 1; k < found.length && most < found.length; k += 1) {
      const b = found[k]!;
      if (Math.hypot(a.from.x - b.from.x, a.from.y - b.from.y) >= APART) consider(fitted([a, b], usualTurnRad));
    }
  }
  if (most < FEWEST || most < found.length / 2) return null;
  return fitted(agreeingWith(best, found), usualTurnRad);
}

/** The patches that lie where a motion carries them. */
function agreeingWith({ x, y, turnRad }: Motion, found: readonly Found[]): Found[] {
  const cos = Math.cos(turnRad);
  const sin = Math.sin(turnRad);
  return found.filter(({ from, to }) => {
    const offX = cos * from.x - sin * from.y + x - to.x;
    const offY = sin * from.x + cos * from.y + y - to.y;
    return offX * offX + offY * offY < AGREE * AGREE;
  });
}

/** The turn and shift that carry patches to where they are, by least squares, small turns; the turn weighed against the usual one. */
function fitted(found: readonly Found[], usualTurnRad: number): Motion {
  let fromX = 0, fromY = 0, toX = 0, toY = 0;
  for (const { from, to } of found) {
    fromX += from.x;
    fromY += from.y;
    toX += to.x;
    toY += to.y;
  }
  const from = { x: fromX / found.length, y: fromY / found.length };
  const to = { x: toX / found.length, y: toY / found.length };
  let cross = usualTurnRad * (PATCH_SD / TURN_SD) ** 2;
  let square = (PATCH_SD / TURN_SD) ** 2;
  for (const one of found) {
    const u = one.from.x - from.x;
    const v = one.from.y - from.y;
    cross += u * (one.to.y - to.y) - v * (one.to.x - to.x);
    square += u * u + v * v;
  }
  const turnRad = cross / square;
  const there = moved(from, { x: 0, y: 0, turnRad });
  return { x: to.x - there.x, y: to.y - there.y, turnRad };
}

/** Luma of a picture in squares of `scale` coded pixels, as stored: not turned upright. */
class Samples {
  readonly columns: number;
  readonly rows: number;
  readonly #scale: number;
  readonly #picture: Picture;
  readonly #toDisplay: Affine;

  constructor(picture: Picture) {
    this.#scale = Math.max(1, Math.round(Math.max(picture.codedWidth, picture.codedHeight) / SAMPLES_LONG));
    this.columns = Math.floor(picture.codedWidth / this.#scale);
    this.rows = Math.floor(picture.codedHeight / this.#scale);
    this.#picture = picture;
    this.#toDisplay = composeAffine(invertAffine(displayToCoded(picture)), [this.#scale, 0, this.#scale / 2, 0, this.#scale, this.#scale / 2]);
  }

  /** The part with the given first column and row, rows one after the other; it must lie inside the picture. */
  part(column: number, row: number, columns: number, rows: number): Float32Array {
    return meanLuma(this.#picture, this.#scale, column, row, columns, rows);
  }

  /** The square part that reaches `room` samples from the given one to all sides; it must lie inside the picture. */
  around(column: number, row: number, room: number): Float32Array {
    return this.part(column - room, row - room, 2 * room + 1, 2 * room + 1);
  }

  /** Whether a patch with this middle can be looked for. */
  holds(column: number, row: number): boolean {
    const room = HALF + REACH + 2;
    return column >= room && row >= room && column < this.columns - room && row < this.rows - room;
  }

  /** Whether a patch with a given middle would show some of what lies in a box, grown. */
  within(box: PictureBox | null): (column: number, row: number) => boolean {
    if (box === null) return () => false;
    const [a, b, c, d, e, f] = this.#toDisplay;
    const reachX = box.width * (0.5 + GROWN) + (HALF + 1) * (Math.abs(a) + Math.abs(b));
    const reachY = box.height * (0.5 + GROWN) + (HALF + 1) * (Math.abs(d) + Math.abs(e));
    return (column, row) =>
      Math.abs(a * column + b * row + c - box.x - box.width / 2) < reachX && Math.abs(d * column + e * row + f - box.y - box.height / 2) < reachY;
  }

  /** A motion of samples about their origin as one of display pixels about theirs. */
  toDisplay(motion: Motion): Motion {
    const [a, b, c, d, e, f] = this.#toDisplay;
    const isMirrored = a * e - b * d < 0;
    const turnRad = isMirrored ? -motion.turnRad : motion.turnRad;
    // The display's origin in samples, moved, and seen in display pixels again.
    const origin = invertAffine(this.#toDisplay);
    const { x, y } = moved({ x: origin[2], y: origin[5] }, motion);
    return { x: a * x + b * y + c, y: d * x + e * y + f, turnRad };
  }
}

/** The clearest corners of the background, spread over the picture. */
function choosePatches(samples: Samples, isAthlete: (column: number, row: number) => boolean): readonly Patch[] {
  const { columns, rows } = samples;
  const luma = samples.part(0, 0, columns, rows);
  const tiles = tileSums(luma, columns, rows);
  const { sums } = tiles;
  const count = SIDE * SIDE;
  const best = new Map<number, { readonly column: number; readonly row: number; readonly slope: number }>();
  const clearest = new Float64Array(FIELDS * FIELDS).fill(LEAST_SLOPE);
  for (let down = 1; down + 1 < tiles.rows; down += 1) {
    for (let across = 1; across + 1 < tiles.columns; across += 1) {
      const column = across * TILE + (TILE >> 1);
      const row = down * TILE + (TILE >> 1);
      if (!samples.holds(column, row) || isAthlete(column, row)) continue;
      let x = 0, y = 0, xx = 0, xy = 0, yy = 0;
      for (let j = down - 1; j <= down + 1; j += 1) {
        for (let at = (j * tiles.columns + across - 1) * SUMS, end = at + 3 * SUMS; at < end; at += SUMS) {
          x += sums[at]!;
          y += sums[at + 1]!;
          xx += sums[at + 2]!;
          xy += sums[at + 3]!;
          yy += sums[at + 4]!;
        }
      }
      xx = xx / count - (x / count) ** 2;
      xy = xy / count - (x / count) * (y / count);
      yy = yy / count - (y / count) ** 2;
      const slope = (xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy);
      const field = Math.floor((row / rows) * FIELDS) * FIELDS + Math.floor((column / columns) * FIELDS);
      if (!(slope > clearest[field]!)) continue;
      clearest[field] = slope;
      best.set(field, { column, row, slope });
    }
  }
  return [...best.values()]
    .sort((a, b) => b.slope - a.slope)
    .slice(0, MOST_PATCHES)
    .map(({ column, row }) => patchAt(luma, columns, column, row));
}

/** Sums over tiles of TILE × TILE samples, SUMS numbers each: the slopes across and down, and their products. */
function tileSums(luma: Float32Array, columns: number, rows: number): { readonly sums: Float64Array; readonly columns: number; readonly rows: number } {
  const [across, down] = [Math.floor(columns / TILE), Math.floor(rows / TILE)];
  const sums = new Float64Array(across * down * SUMS);
  for (let row = 1; row < Math.min(down * TILE, rows - 1); row += 1) {
    for (let tile = 0; tile < across; tile += 1) {
      const to = (Math.floor(row / TILE) * across + tile) * SUMS;
      const first = row * columns + Math.max(1, tile * TILE);
      const end = row * columns + Math.min(columns - 1, (tile + 1) * TILE);
      let sumX = sums[to]!, sumY = sums[to + 1]!, sumXx = sums[to + 2]!, sumXy = sums[to + 3]!, sumYy = sums[to + 4]!;
      for (let at = first; at < end; at += 1) {
        const x = (luma[at + 1]! - luma[at - 1]!) / 2;
        const y = (luma[at + columns]! - luma[at - columns]!) / 2;
        sumX += x;
        sumY += y;
        sumXx += x * x;
        sumXy += x * y;
        sumYy += y * y;
      }
      sums[to] = sumX;
      sums[to + 1] = sumY;
      sums[to + 2] = sumXx;
      sums[to + 3] = sumXy;
      sums[to + 4] = sumYy;
    }
  }
  return { sums, columns: across, rows: down };
}

function patchAt(picture: Float32Array, columns: number, column: number, row: number): Patch {
  const luma = new Float32Array(SIDE * SIDE);
  const slopeX = new Float32Array(SIDE * SIDE);
  const slopeY = new Float32Array(SIDE * SIDE);
  for (let j = 0, k = 0; j < SIDE; j += 1) {
    for (let i = 0; i < SIDE; i += 1, k += 1) {
      const at = (row - HALF + j) * columns + column - HALF + i;
      luma[k] = picture[at]!;
      slopeX[k] = (picture[at + 1]! - picture[at - 1]!) / 2;
      slopeY[k] = (picture[at + columns]! - picture[at - columns]!) / 2;
    }
  }
  // An even change of light tells nothing: everything is less its mean.
  for (const values of [luma, slopeX, slopeY]) {
    let sum = 0;
    for (let k = 0; k < values.length; k += 1) sum += values[k]!;
    const mean = sum / values.length;
    for (let k = 0; k < values.length; k += 1) values[k]! -= mean;
  }
  const product = (one: Float32Array, other: Float32Array): number => one.reduce((sum, value, k) => sum + value * other[k]!, 0);
  const [xx, xy, yy] = [product(slopeX, slopeX), product(slopeX, slopeY), product(slopeY, slopeY)];
  const determinant = xx * yy - xy * xy;
  return { x: column, y: row, luma, slopeX, slopeY, inverse: [yy / determinant, -xy / determinant, xx / determinant], variance: product(luma, luma) };
}

/** Where a patch lies, samples; null where it is not found near the guess. */
function follow(patch: Patch, samples: Samples, guess: Point): Point | null {
  const [startX, startY] = [Math.round(guess.x), Math.round(guess.y)];
  if (!samples.holds(startX, startY)) return null;
  let reach = NEAR;
  let part = samples.around(startX, startY, HALF + reach);
  // From the middle of the part to the patch's.
  let x = guess.x - startX;
  let y = guess.y - startY;
  const seen = new Float32Array(SIDE * SIDE);
  let changed = Infinity;
  for (let round = 0; round < ROUNDS; round += 1) {
    if (reach < REACH && Math.max(Math.abs(x), Math.abs(y)) >= reach) {
      reach = REACH;
      part = samples.around(startX, startY, HALF + reach);
    }
    const columns = 2 * (HALF + reach) + 1;
    const left = Math.floor(x);
    const top = Math.floor(y);
    const p = x - left;
    const q = y - top;
    const nw = (1 - q) * (1 - p), ne = (1 - q) * p, sw = q * (1 - p), se = q * p;
    let sum = 0;
    for (let j = 0, k = 0; j < SIDE; j += 1) {
      let at = (top + reach + j) * columns + left + reach;
      for (const end = k + SIDE; k < end; k += 1, at += 1) {
        const value = nw * part[at]! + ne * part[at + 1]! + sw * part[at + columns]! + se * part[at + columns + 1]!;
        seen[k] = value;
        sum += value;
      }
    }
    const mean = sum / seen.length;
    let byX = 0, byY = 0;
    changed = 0;
    for (let k = 0; k < seen.length; k += 1) {
      const error = seen[k]! - mean - patch.luma[k]!;
      byX += patch.slopeX[k]! * error;
      byY += patch.slopeY[k]! * error;
      changed += error * error;
    }
    const [xx, xy, yy] = patch.inverse;
    const [moveX, moveY] = [-(xx * byX + xy * byY), -(xy * byX + yy * byY)];
    x += moveX;
    y += moveY;
    if (!(Math.abs(x) < REACH && Math.abs(y) < REACH)) return null;
    if (Math.hypot(moveX, moveY) < ARRIVED) break;
  }
  return changed > MOST_CHANGED * patch.variance ? null : { x: startX + x, y: startY + y };
}
