import type { MomentId } from '../phases/moment.ts';
import type { MeasureId } from '../shapes/measure.ts';

/** The key moment at which a measure is seen best; a duration or a distance is shown where it ends. */
export function momentOfMeasure(measure: MeasureId): MomentId {
  const [group] = measure.split('.');
  switch (group) {
    case 'set':
      return 'set';
    case 'passe':
      return 'passe';
    case 'launch':
      return 'launch';
    case 'steps':
      return 'firstMove';
    case 'kick':
    case 'mark':
      return 'hands';
    default:
      return measure === 'time.toHands' ? 'hands' : 'plant';
  }
}
