import { REACH_HEIGHTS, roomAheadLeg, WANTED_DISTANCE_HEIGHTS, type PreCheckId, type PreCheckRow } from '../camera/pre-check.ts';
import { BLURRED_BELOW, DIM_BELOW, SHAKE_FROM_LEG, SOFT_BELOW, WANTED_HEIGHT_PX } from '../camera/check-picture.ts';
import { START_NAMES, type StartId } from '../starts/start.ts';

/** What each thing that is looked at before filming is called. */
export const PRE_CHECK_NAMES: Readonly<Record<PreCheckId, string>> = {
  'whole-body': 'Whole body in view',
  height: 'Size in the picture',
  distance: 'Distance',
  'side-on': 'Side-on',
  'room-above': 'Room above',
  'room-ahead': 'Room in front',
  light: 'Light',
  focus: 'Sharpness, standing',
  smear: 'Sharpness, moving',
  pictures: 'Pictures a second',
  'still-phone': 'Phone still',
  others: 'Others in view',
};

/** The figure of one row in words; what to do instead where this picture cannot tell. */
export function preCheckFigure({ id, figure, sd, note }: PreCheckRow, isStill: boolean): string {
  if (figure === null) return unknown(id, isStill);
  switch (id) {
    case 'whole-body':
      return note?.kind === 'cropped' ? `${note.parts.join(', ')} cut off` : 'all of it';
    case 'height':
      return `${Math.round(figure)} pixels tall`;
    case 'distance':
      return `about ${figure.toFixed(1)} ± ${(2 * (sd ?? 0)).toFixed(1)} body heights`;
    case 'side-on':
      return `${Math.round(Math.abs(figure))}° off, ± ${Math.round(2 * (sd ?? 0))}°`;
    case 'room-above':
      return `floor to top edge ${figure.toFixed(2)} body heights`;
    case 'room-ahead':
      return `${figure.toFixed(1)} leg lengths`;
    case 'light':
    case 'smear':
      return id === 'light' ? `${percent(figure)} bright` : `${percent(figure)} of standing`;
    case 'focus':
      return figure.toFixed(2);
    case 'pictures':
      return figure.toFixed(0);
    case 'still-phone':
      return `moved ${figure.toFixed(3)} leg lengths`;
    case 'others':
      return figure === 0 ? 'nobody' : String(figure);
  }
}

/** What is wanted of one row, for the start that is to be filmed. */
export function preCheckWanted(id: PreCheckId, start: StartId | null): string {
  switch (id) {
    case 'whole-body':
      return 'hands, feet and head';
    case 'height':
      return `${WANTED_HEIGHT_PX} or more`;
    case 'distance':
      return `${WANTED_DISTANCE_HEIGHTS.least} at least, better ${WANTED_DISTANCE_HEIGHTS.best} (8 m)`;
    case 'side-on':
      return 'within 10°';
    case 'room-above':
      return `${REACH_HEIGHTS} for arms overhead`;
    case 'room-ahead':
      return `${roomAheadLeg(start).toFixed(1)} ${start === null ? 'for the shortest start' : `for the ${START_NAMES[start].toLowerCase()}`}`;
    case 'light':
      return `${percent(DIM_BELOW)} or more`;
    case 'focus':
      return `${SOFT_BELOW} or more`;
    case 'smear':
      return `${percent(BLURRED_BELOW)} or more (1/500 s)`;
    case 'pictures':
      return '60 or more';
    case 'still-phone':
      return `less than ${SHAKE_FROM_LEG}`;
    case 'others':
      return 'nobody';
  }
}

function unknown(id: PreCheckId, isStill: boolean): string {
  if (id === 'smear') return isStill ? 'a photo cannot tell: try a second of running' : 'nobody moved fast: try a second of running';
  if (id === 'pictures') return 'a photo cannot tell: set it on the phone';
  if (id === 'still-phone') return isStill ? 'a photo cannot tell' : 'could not be told';
  return 'cannot be told here';
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}
