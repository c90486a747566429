import { displayToCoded, type Picture } from './pose/picture.ts';
import { lumaReader } from './luma-reader.ts';

/** Cells across and down the picture. */
export const GRID_COLUMNS = 96;
export const GRID_ROWS = 54;
/** Rounds of the fit; each halves what is left at least. */
const ROUNDS = 3;
/** Cells left out at each edge of the grid. */
const EDGE = 2;
/** Cells left without detail tell nothing: the mean squared slope of luma per cell that is needed. Chosen: coding noise stays below. */
const LEAST_SLOPE = 2e-5;

/** Luma 0 to 1 of a coarse grid over the whole picture, rows from the top, display orientation. Each cell is a mean of four samples. */
export function sampleGrid(picture: Picture): Float32Array {
  const [a, b, c, d, e, f] = displayToCoded(picture);
  const lumaAt = lumaReader(picture);
  const grid = new Float32Array(GRID_COLUMNS * GRID_ROWS);
  const cellX = picture.widthPx / GRID_COLUMNS;
  const cellY = picture.heightPx / GRID_ROWS;
  for (let row = 0; row < GRID_ROWS; row += 1) {
    for (let column = 0; column < GRID_COLUMNS; column += 1) {
      let sum = 0;
      for (let k = 0; k < 4; k += 1) {
        const x = cellX * (column + (k % 2 === 0 ? 0.25 : 0.75));
        const y = cellY * (row + (k < 2 ? 0.25 : 0.75));
        sum += lumaAt(Math.floor(a * x + b * y + c), Math.floor(d * x + e * y + f));
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
  const isUsed = new Uint8Array(GRID_COLUMNS * GRID_ROWS);
  for (let row = EDGE; row < GRID_ROWS - EDGE; row += 1) {
    for (let column = EDGE; column < GRID_COLUMNS - EDGE; column += 1) isUsed[row * GRID_COLUMNS + column] = masked(column, row) ? 0 : 1;
  }
  let shift = { x: 0, y: 0 };
  let scale = Infinity;
  for (let round = 0; round < ROUNDS; round += 1) {
    let xx = 0, xy = 0, yy = 0, xt = 0, yt = 0, count = 0, left = 0;
    const across = shifted(GRID_COLUMNS, shift.x);
    const down = shifted(GRID_ROWS, shift.y);
    for (let row = EDGE; row < GRID_ROWS - EDGE; row += 1) {
      const [thereRow, q] = [down.cell[row]!, down.part[row]!];
      if (thereRow < 0) continue;
      for (let column = EDGE; column < GRID_COLUMNS - EDGE; column += 1) {
        const at = row * GRID_COLUMNS + column;
        const thereColumn = across.cell[column]!;
        if (isUsed[at] === 0 || thereColumn < 0) continue;
        const p = across.part[column]!;
        const to = thereRow * GRID_COLUMNS + thereColumn;
        const there = (1 - q) * ((1 - p) * after[to]! + p * after[to + 1]!) + q * ((1 - p) * after[to + GRID_COLUMNS]! + p * after[to + GRID_COLUMNS + 1]!);
        const change = there - before[at]!;
        if (Math.abs(change) > scale) continue;
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
    }
    const determinant = xx * yy - xy * xy;
    if (count < 200 || !(Math.min(xx, yy) > LEAST_SLOPE * count) || !(determinant > 1e-3 * xx * yy)) return null;
    shift = { x: shift.x - (yy * xt - xy * yt) / determinant, y: shift.y - (xx * yt - xy * xt) / determinant };
    scale = 3 * Math.sqrt(left / count) + 1e-3;
  }
  return shift;
}

/** Where each of `count` cells in a line lies after a shift: the cell before that place, −1 where it lies outside, and the part of a cell beyond. */
function shifted(count: number, shift: number): { readonly cell: Int32Array; readonly part: Float64Array } {
  const cell = new Int32Array(count);
  const part = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    const before = Math.floor(i + shift);
    cell[i] = before < 0 || before + 1 >= count ? -1 : before;
    part[i] = i + shift - before;
  }
  return { cell, part };
}
