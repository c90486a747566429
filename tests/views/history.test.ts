import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Overrides } from '../../src/reading/reading.ts';
import { EMPTY_HISTORY, redo, restate, undo, type History } from '../../src/state/history.ts';

const overrides = fc.record({ lead: fc.constantFrom('left' as const, 'right' as const), heightM: fc.double({ min: 0.8, max: 2.2, noNaN: true }) });
const steps = fc.array(fc.oneof(overrides, fc.constant('undo' as const), fc.constant('redo' as const)), { maxLength: 40 });

/** The same history kept as a list and a place in it. */
function byHand(all: readonly (Overrides | 'undo' | 'redo')[]): Overrides {
  let list: Overrides[] = [{}];
  let at = 0;
  for (const step of all) {
    if (step === 'undo') at = Math.max(at - 1, 0);
    else if (step === 'redo') at = Math.min(at + 1, list.length - 1);
    else {
      list = [...list.slice(0, at + 1), step];
      at += 1;
    }
  }
  return list[at] ?? {};
}

it('undo and redo agree with a list and a place in it, over random statements', () => {
  fc.assert(
    fc.property(steps, (all) => {
      const end = all.reduce<History>((history, step) => (step === 'undo' ? undo(history) : step === 'redo' ? redo(history) : restate(history, step)), EMPTY_HISTORY);
      expect(end.present).toEqual(byHand(all));
    }),
    { numRuns: 500 },
  );
});
