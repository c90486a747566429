import type { LandmarkReading } from './pose/landmark-model.ts';
import { GRID_COLUMNS, GRID_ROWS, sampleGrid, shiftBetween } from './background-shift.ts';
import { lumaReader } from './luma-reader.ts';
import { displayToCoded, type Picture } from './pose/picture.ts';

/** Samples taken a side in the region around the athlete. */
const GRID = 48;

/** Collects facts of the pictures around the athlete, one value a frame. */
export class QualityMeter {
  readonly #heightPx: number[] = [];
  readonly #brightness: number[] = [];
  readonly #sharpness: number[] = [];
  readonly #stepX: number[] = [];
  readonly #stepY: number[] = [];
  #before: { readonly grid: Float32Array; readonly box: Box | null } | null = null;

  /** Adds one frame; null is a gap. */
  add(picture: Picture, reading: LandmarkReading | null): void {
    this.#addStep(picture, reading === null ? null : landmarkBox(reading.xy));
    if (reading === null) {
      for (const list of [this.#heightPx, this.#brightness, this.#sharpness]) list.push(Number.NaN);
      return;
    }
    const box = landmarkBox(reading.xy);
    const luma = regionFacts(picture, box);
    this.#heightPx.push(box.height);
    this.#brightness.push(luma.mean);
    this.#sharpness.push(luma.sharpness ?? Number.NaN);
  }

  /** How far the background moved since the frame before, display pixels; the athlete's surroundings are left out in both. */
  #addStep(picture: Picture, box: Box | null): void {
    const grid = sampleGrid(picture);
    const boxes = [box, this.#before?.box ?? null].filter((one) => one !== null);
    const [cellX, cellY] = [picture.widthPx / GRID_COLUMNS, picture.heightPx / GRID_ROWS];
    const masked = (column: number, row: number): boolean => boxes.some((one) =>
      Math.abs(cellX * (column + 0.5) - one.x - one.width / 2) < 0.7 * one.width && Math.abs(cellY * (row + 0.5) - one.y - one.height / 2) < 0.7 * one.height);
    const step = this.#before === null ? null : shiftBetween(this.#before.grid, grid, masked);
    this.#stepX.push(step === null ? Number.NaN : step.x * cellX);
    this.#stepY.push(step === null ? Number.NaN : step.y * cellY);
    this.#before = { grid, box };
  }

  /** One value a frame, NaN where there is none; steps of the background since the frame before in display pixels. */
  arrays(): Readonly<Record<'heightPx' | 'brightness' | 'sharpness' | 'stepXPx' | 'stepYPx', Float32Array>> {
    return {
      stepXPx: Float32Array.from(this.#stepX),
      stepYPx: Float32Array.from(this.#stepY),
      heightPx: Float32Array.from(this.#heightPx),
      brightness: Float32Array.from(this.#brightness),
      sharpness: Float32Array.from(this.#sharpness),
    };
  }
}

interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

function landmarkBox(xy: Float32Array): Box {
  let left = Infinity;
  let right = -Infinity;
  let top = Infinity;
  let bottom = -Infinity;
  for (let i = 0; i < xy.length; i += 2) {
    const x = xy[i] ?? 0;
    const y = xy[i + 1] ?? 0;
    left = Math.min(left, x);
    right = Math.max(right, x);
    top = Math.min(top, y);
    bottom = Math.max(bottom, y);
  }
  return { x: left, y: top, width: right - left, height: bottom - top };
}

/** Mean luma 0 to 1 and sharpness of a region, read at a grid of stored pixels and their right neighbours. */
export function regionFacts(picture: Picture, box: Box): { readonly mean: number; readonly sharpness: number | null } {
  const [a, b, c, d, e, f] = displayToCoded(picture);
  const lumaAt = lumaReader(picture);
  let sum = 0;
  let squares = 0;
  let steps = 0;
  let count = 0;
  for (let j = 0; j < GRID; j += 1) {
    for (let i = 0; i < GRID; i += 1) {
      const x = box.x + (box.width * (i + 0.5)) / GRID;
      const y = box.y + (box.height * (j + 0.5)) / GRID;
      const column = Math.floor(a * x + b * y + c);
      const row = Math.floor(d * x + e * y + f);
      if (column < 0 || row < 0 || column + 1 >= picture.codedWidth || row >= picture.codedHeight) continue;
      const here = lumaAt(column, row);
      const beside = lumaAt(column + 1, row);
      sum += here;
      squares += here * here;
      steps += (beside - here) ** 2;
      count += 1;
    }
  }
  if (count === 0) return { mean: 0, sharpness: null };
  const mean = sum / count;
  const spread = Math.sqrt(Math.max(squares / count - mean * mean, 0));
  return { mean, sharpness: spread > 1e-6 ? Math.sqrt(steps / count) / spread : null };
}

