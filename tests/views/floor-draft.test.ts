import { describe, expect, it } from 'vitest';
import { draftOf, floorOf, nextTap, tapped, type FloorDraft } from '../../src/views/result/floor-draft.ts';

const at = (x: number) => ({ x, y: 0 });
const EMPTY_MAT: FloorDraft = { kind: 'mat', taps: [] };

describe('taps on the floor', () => {
  it('a mat takes four taps: near left, near right, far right, far left; then nothing more', () => {
    let draft = EMPTY_MAT;
    const asked: string[] = [];
    for (let tap = 0; tap < 4; tap += 1) {
      const name = nextTap(draft) ?? '';
      asked.push(name);
      draft = tapped(draft, name, at(tap));
    }
    expect(asked).toEqual(['near left corner', 'near right corner', 'far right corner', 'far left corner']);
    expect(nextTap(draft)).toBeNull();
    expect(floorOf(draft, 4, 2)).toEqual({ kind: 'mat', nearLeft: at(0), nearRight: at(1), farRight: at(2), farLeft: at(3), alongM: 4, acrossM: 2 });
  });

  it('a tap that was made moves; one out of turn changes nothing', () => {
    const one = tapped(EMPTY_MAT, 'near left corner', at(1));
    expect(tapped(one, 'near left corner', at(9)).taps).toEqual([at(9)]);
    expect(tapped(one, 'far left corner', at(9))).toBe(one);
  });

  it('gives no floor before the last tap, nor without a positive length', () => {
    const marks = tapped(tapped({ kind: 'marks', taps: [] }, 'first mark', at(0)), 'second mark', at(5));
    expect(floorOf(tapped(EMPTY_MAT, 'near left corner', at(1)), 1, 1)).toBeNull();
    expect(floorOf(marks, 0, Number.NaN)).toBeNull();
    expect(floorOf(marks, Number.NaN, 1)).toBeNull();
    const floor = floorOf(marks, 3, Number.NaN);
    expect(floor).toEqual({ kind: 'marks', a: at(0), b: at(5), apartM: 3 });
    if (floor !== null) expect(draftOf(floor)).toEqual(marks);
  });
});
