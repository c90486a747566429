import { MOMENT_IDS, type MomentId, type Moments } from '../phases/moment.ts';

/** The order in which moments are told when the clip does not show it; common practice, no source. */
const USUAL: readonly MomentId[] = ['set', 'firstMove', 'passe', 'launch', 'plant', 'hands'];

/** All six moments in the order of their times; one that was not found keeps its usual place. */
export function momentsInOrder(moments: Moments): readonly MomentId[] {
  const found = MOMENT_IDS.flatMap((id) => {
    const moment = moments[id];
    return moment.found ? [{ id, t: moment.t }] : [];
  }).sort((a, b) => a.t - b.t || USUAL.indexOf(a.id) - USUAL.indexOf(b.id));
  const order = found.map((each) => each.id);
  for (const id of USUAL) {
    if (order.includes(id)) continue;
    const before = USUAL.slice(0, USUAL.indexOf(id)).reverse().find((each) => order.includes(each));
    order.splice(before === undefined ? 0 : order.indexOf(before) + 1, 0, id);
  }
  return order;
}
