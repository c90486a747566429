import { frameShownAt } from '../../overlay/scene.ts';
import type { MomentId } from '../../phases/moment.ts';
import { LANDMARK_INDEX, type LandmarkName } from '../../pose/landmarks.ts';
import { landmarkAt } from '../../pose/pose-track.ts';
import type { Reading } from '../../reading/reading.ts';
import { otherSide, type Side } from '../../starts/start.ts';

/** A foot or a hand on the floor line, in picture pixels along it. */
export interface FloorMark {
  readonly key: string;
  readonly kind: 'foot' | 'hand';
  readonly fromPx: number;
  readonly toPx: number;
  readonly isLead: boolean;
}

/** Where the athlete is on the floor line at a moment. */
export interface FloorPlace {
  readonly moment: MomentId;
  readonly xPx: number;
  readonly marks: readonly FloorMark[];
  /** True when a still hangs from this place. */
  readonly hangs: boolean;
  /** Distance from the mark, in words. */
  readonly words: string;
}

/** The floor line of a rep. */
export interface Floor {
  readonly places: readonly FloorPlace[];
  readonly ticks: readonly { readonly xPx: number; readonly label: string }[];
  readonly words: string;
}

/** Marks, places and ticks of the floor line; empty of places when no moment was found. */
export function floorPlaces(reading: Reading): Floor {
  const { track, moments, metresPerPixel } = reading;
  const travel = reading.direction.value === 'left-to-right' ? 1 : -1;
  const lead = reading.lead.value;
  const unitPx = metresPerPixel === null ? reading.legLengthPx : 1 / metresPerPixel;
  const unit = metresPerPixel === null ? 'legs' : 'm';

  const pointAt = (moment: MomentId, name: LandmarkName) => {
    const one = moments[moment];
    const frame = one.found ? frameShownAt(track, one.t) : null;
    if (frame === null) return null;
    const point = landmarkAt(track, frame, LANDMARK_INDEX[name]);
    return Number.isFinite(point.x) && Number.isFinite(point.y) ? point : null;
  };
  const at = (moment: MomentId, name: LandmarkName): number | null => pointAt(moment, name)?.x ?? null;
  const foot = (moment: MomentId, side: Side): FloorMark | null => {
    const heel = at(moment, `${side}Heel`) ?? at(moment, `${side}Ankle`);
    const toe = at(moment, `${side}FootIndex`) ?? heel;
    if (heel === null || toe === null) return null;
    return { key: `${side} foot`, kind: 'foot', fromPx: heel, toPx: toe === heel ? heel + travel * reading.legLengthPx * 0.12 : toe, isLead: side === lead };
  };
  /** The hand that is lower in the picture: the one on the floor. */
  const firstHand = (): FloorMark | null => {
    const found = (['left', 'right'] as const).flatMap((side) => {
      const point = pointAt('hands', `${side}Index`) ?? pointAt('hands', `${side}Wrist`);
      return point === null ? [] : [{ side, ...point }];
    });
    const lower = found.sort((a, b) => b.y - a.y)[0];
    return lower === undefined ? null : { key: `${lower.side} hand`, kind: 'hand', fromPx: lower.x, toPx: lower.x, isLead: lower.side === lead };
  };
  const forward = (marks: readonly FloorMark[]) =>
    marks.reduce<number | null>((best, mark) => {
      const x = travel > 0 ? Math.max(mark.fromPx, mark.toPx) : Math.min(mark.fromPx, mark.toPx);
      return best === null || travel * x > travel * best ? x : best;
    }, null);
  const present = (marks: readonly (FloorMark | null)[]) => marks.filter((mark) => mark !== null);

  const setMarks = present([foot('set', lead), foot('set', otherSide(lead))]);
  const mark = forward(setMarks);
  const origin = mark ?? (travel > 0 ? 0 : track.widthPx);
  const away = (x: number) => {
    if (mark === null) return 'the mark is not known';
    const distance = (travel * (x - origin)) / unitPx;
    return `${Math.abs(distance).toFixed(2)} ${unit} ${distance < 0 ? 'before' : 'after'} the mark`;
  };

  const places: FloorPlace[] = [];
  const place = (moment: MomentId, marks: readonly FloorMark[], xPx: number | null) => {
    if (xPx !== null) places.push({ moment, xPx, marks, hangs: true, words: away(xPx) });
  };
  const hips = (moment: MomentId) => {
    const left = at(moment, 'leftHip');
    const right = at(moment, 'rightHip');
    return left !== null && right !== null ? (left + right) / 2 : (left ?? right);
  };
  place('set', setMarks, forward(setMarks));
  place('firstMove', [], hips('firstMove'));
  place('passe', [], hips('passe'));
  const push = present([foot('launch', otherSide(lead))]);
  place('launch', push, forward(push));
  const plant = present([foot('plant', lead)]);
  place('plant', plant, forward(plant));
  const hands = present([firstHand()]);
  place('hands', hands, forward(hands));

  const steps = reading.steps.map((step, index): FloorMark => ({
    key: `step ${index + 1}`,
    kind: 'foot',
    fromPx: step.xPx - travel * reading.legLengthPx * 0.06,
    toPx: step.xPx + travel * reading.legLengthPx * 0.12,
    isLead: step.foot === lead,
  }));
  const first = places.find((each) => each.moment === 'firstMove');
  if (first !== undefined && steps.length > 0) places[places.indexOf(first)] = { ...first, marks: steps };

  const ticks: { xPx: number; label: string }[] = [];
  for (let half = -8; half <= 24; half += 1) {
    const xPx = origin + travel * half * 0.5 * unitPx;
    if (xPx < 0 || xPx > track.widthPx) continue;
    ticks.push({ xPx, label: mark !== null && half % 2 === 0 ? tickLabel(half / 2, unit) : '' });
  }
  const end = places.find((each) => each.moment === 'hands');
  return {
    places,
    ticks,
    words: `Floor line${end === undefined ? '' : `: first hand ${end.words}`}.`,
  };
}

/** A whole distance on the floor line, e.g. "mark" at 0, "1 leg", "2 legs", "−1", "2 m". */
function tickLabel(count: number, unit: 'legs' | 'm'): string {
  if (count === 0) return 'mark';
  if (count < 0) return `−${-count}`;
  return unit === 'm' ? `${count} m` : `${count} ${count === 1 ? 'leg' : 'legs'}`;
}
