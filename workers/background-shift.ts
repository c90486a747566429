import { displayToCoded, type Picture } from './pose/picture.ts';
import { lumaAt } from './luma-at.ts';

/** Cells across and down the picture. */
export const GRID_COLUMNS = 96;
export const GRID_ROWS = 54;
/** Rounds of the fit; each halves what is left at least. */
const ROUNDS = 3;
/** Cells left without detail tell nothing: the mean squared slope of luma per cell that is needed. Chosen: coding noise stays below. */
const LEAST_SLOPE = 2e-5;

/** Luma 0 to 1 of a coarse grid over the whole picture, rows from the top, display orientation. Each cell is a mean of four samples. */
export function sampleGrid(picture: Picture): Float32Array {
  const [a, b, c, d, e, f] = displayToCoded(picture);
  const grid = new Float32Array(GRID_COLUMNS * GRID_ROWS);
  const cellX = picture.widthPx / GRID_COLUMNS;
  const cellY = picture.heightPx / GRID_ROWS;
  for (let row = 0; row < GRID_ROWS; row += 1) {
    for (let column = 0; column < GRID_COLUMNS; column += 1) {
      let sum = 0;
      for (let k = 0; k < 4; k += 1) {
        const x = cellX * (column + (k % 2 === 0 ? 0.25 : 0.75));
        const y = cellY * (row + (k < 2 ? 0.25 : 0.75));
        sum += lumaAt(picture, Math.floor(a * x + b * y + c), Math.floor(d * x + e * y + f));
      }
      grid[row * GRID_COLUMNS + column] = sum / 4;
    }
  }
  return grid;
}

/**
 * How far the still background moved from one grid to the next, in cells, x right and y down: least squares over all
 * cells that are not `masked`, cells that moved otherwise left out by their residual. Null where there is too little detail.
 */
export function shiftBetween(before: Float32Array, after: Float32Array, masked: (column: number, row: number) => boolean): { readonly x: number; readonly y: number } | null {
  const used: number[] = [];
  for (let row = 2; row < GRID_ROWS - 2; row += 1) {
    for (let column = 2; column < GRID_COLUMNS - 2; column += 1) if (!masked(column, row)) used.push(row * GRID_COLUMNS + column);
  }
  let shift = { x: 0, y: 0 };
  let scale = Infinity;
  for (let round = 0; round < ROUNDS; round += 1) {
    let xx = 0, xy = 0, yy = 0, xt = 0, yt = 0, count = 0, left = 0;
    for (const at of used) {
      const there = interpolated(after, (at % GRID_COLUMNS) + shift.x, Math.floor(at / GRID_COLUMNS) + shift.y);
      const change = there - before[at]!;
      if (Number.isNaN(change) || Math.abs(change) > scale) continue;
      const slopeX = (before[at + 1]! - before[at - 1]!) / 2;
      const slopeY = (before[at + GRID_COLUMNS]! - before[at - GRID_COLUMNS]!) / 2;
      xx += slopeX * slopeX;
      xy += slopeX * slopeY;
      yy += slopeY * slopeY;
      xt += slopeX * change;
      yt += slopeY * change;
      left += change * change;
      count += 1;
    }
    const determinant = xx * yy - xy * xy;
    if (count < 200 || !(Math.min(xx, yy) > LEAST_SLOPE * count) || !(determinant > 1e-3 * xx * yy)) return null;
    shift = { x: shift.x - (yy * xt - xy * yt) / determinant, y: shift.y - (xx * yt - xy * xt) / determinant };
    scale = 3 * Math.sqrt(left / count) + 1e-3;
  }
  return shift;
}

function interpolated(grid: Float32Array, x: number, y: number): number {
  const column = Math.floor(x);
  const row = Math.floor(y);
  if (column < 0 || row < 0 || column + 1 >= GRID_COLUMNS || row + 1 >= GRID_ROWS) return Number.NaN;
  const at = row * GRID_COLUMNS + column;
  const [p, q] = [x - column, y - row];
  return (1 - q) * ((1 - p) * grid[at]! + p * grid[at + 1]!) + q * ((1 - p) * grid[at + GRID_COLUMNS]! + p * grid[at + GRID_COLUMNS + 1]!);
}
