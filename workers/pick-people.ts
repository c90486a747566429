import type { PoseSeen } from './people-finder.ts';
import type { MapView } from './pose/network/kernel-network.ts';

/** The maps in which MoveNet MultiPose shows people, each with as many rows and columns as the others. */
export interface PeopleMaps {
  /** Whether a person's middle is there, before its sigmoid. */
  readonly middle: MapView;
  /** Height and width of the person's box, and where its middle lies, seen from the cell. */
  readonly boxSize: MapView;
  readonly boxOffset: MapView;
  /** Whether one of 17 body points is there, before its sigmoid. */
  readonly pointHeat: MapView;
  /** Where the 17 points of the person whose middle is here lie, y and x seen from the cell. */
  readonly pointReach: MapView;
  /** Where in its cell each point lies, y and x. */
  readonly pointOffset: MapView;
}

const MOST_PEOPLE = 6;
const POINTS = 17;
/** A middle counts where no other within this many cells is likelier. */
const PEAK_REACH = 2;
const SAME = 1e-6;
/** Square of the distance from its expected place at which a point counts 1/e, as a share of the map's side in cells. */
const SPREAD_SHARE = 0.300048828125;
/** Points below this do not count for the person's score. */
const SCORED_POINT = 0.126953125;

interface Person {
  readonly score: number;
  /** For each point its expected place, and for rows and columns the weights by distance from it; 0 outside the person's box. */
  readonly rowWeights: Float32Array;
  readonly columnWeights: Float32Array;
}

/**
 * People out of the model's maps, as its own last nodes do it (the stored graph behind the six heads): six likeliest
 * middles; for each the points' likeliest places within its box, near where the middle expects them. Points in pixels,
 * `cellPx` a cell.
 */
export function pickPeople(maps: PeopleMaps, cellPx: number): PoseSeen[] {
  const { rows, columns } = maps.middle;
  const cells = rows * columns;
  const heat = new Float32Array(cells * POINTS);
  for (let cell = 0; cell < cells; cell += 1) {
    for (let point = 0; point < POINTS; point += 1) heat[cell * POINTS + point] = sigmoid(at(maps.pointHeat, cell, point));
  }
  const people = likeliestMiddles(maps.middle).map(({ cell, score }) => personAt(maps, cell, score));
  const weight = (person: Person, row: number, column: number, point: number): number =>
    (person.rowWeights[row * POINTS + point] as number) * (person.columnWeights[column * POINTS + point] as number);

  return people.map((person) => {
    let sum = 0;
    let counted = 0;
    const keypoints = Array.from({ length: POINTS }, (_, point) => {
      let best = 0;
      let place = 0;
      for (let row = 0; row < rows; row += 1) {
        if (person.rowWeights[row * POINTS + point] === 0) continue;
        for (let column = 0; column < columns; column += 1) {
          const value = weight(person, row, column, point) * (heat[(row * columns + column) * POINTS + point] as number);
          if (value > best) {
            best = value;
            place = row * columns + column;
          }
        }
      }
      const row = Math.floor(place / columns);
      const column = place % columns;
      // A place is worth what it is worth to whomever it suits best.
      const score = (heat[place * POINTS + point] as number) * Math.max(...people.map((one) => weight(one, row, column, point)));
      if (score > SCORED_POINT) {
        sum += score;
        counted += 1;
      }
      return {
        y: (row + at(maps.pointOffset, place, 2 * point)) * cellPx, x: (column + at(maps.pointOffset, place, 2 * point + 1)) * cellPx, score,
      };
    });
    return { score: (person.score * sum) / Math.max(1, counted), keypoints };
  });
}

function likeliestMiddles(middles: MapView): { readonly cell: number; readonly score: number }[] {
  const { rows, columns } = middles;
  const scores = Float32Array.from({ length: rows * columns }, (_, cell) => sigmoid(at(middles, cell, 0)));
  const isPeak = (cell: number): boolean => {
    const [row, column] = [Math.floor(cell / columns), cell % columns];
    for (let j = Math.max(0, row - PEAK_REACH); j <= Math.min(rows - 1, row + PEAK_REACH); j += 1) {
      for (let i = Math.max(0, column - PEAK_REACH); i <= Math.min(columns - 1, column + PEAK_REACH); i += 1) {
        if ((scores[j * columns + i] as number) - (scores[cell] as number) > SAME) return false;
      }
    }
    return true;
  };
  return Array.from(scores, (score, cell) => ({ cell, score })).filter(({ cell }) => isPeak(cell)).sort((a, b) => b.score - a.score).slice(0, MOST_PEOPLE);
}

function personAt(maps: PeopleMaps, cell: number, score: number): Person {
  const { rows, columns } = maps.middle;
  const [row, column] = [Math.floor(cell / columns), cell % columns];
  const weights = (count: number, own: number, axis: 0 | 1): Float32Array => {
    const middle = own + at(maps.boxOffset, cell, axis);
    const half = Math.max(0, at(maps.boxSize, cell, axis)) / 2;
    const result = new Float32Array(count * POINTS);
    for (let i = 0; i < count; i += 1) {
      if (i < middle - half || i >= middle + half) continue;
      for (let point = 0; point < POINTS; point += 1) {
        const away = i - (own + at(maps.pointReach, cell, 2 * point + axis));
        result[i * POINTS + point] = Math.exp(-(away * away) / (Math.min(rows, columns) * SPREAD_SHARE));
      }
    }
    return result;
  };
  return { score, rowWeights: weights(rows, row, 0), columnWeights: weights(columns, column, 1) };
}

function at({ numbers, pitch }: MapView, cell: number, channel: number): number {
  return numbers[cell * pitch + channel] as number;
}

function sigmoid(value: number): number {
  return 1 / (1 + Math.exp(-value));
}
