import type { CutPart, PictureNote } from '../camera/picture-note.ts';
import { MOMENT_WORDS } from './measure-words.ts';

/** Words for one note on the pictures. */
export interface QualityWords {
  /** What is wrong, a few words. */
  readonly short: string;
  /** What it does to the figures, with the figure. */
  readonly reason: string;
  readonly whatToDoNextTime: string;
  /** Where the limit comes from; null when we chose it. */
  readonly source: string | null;
}

const PART_WORDS: Readonly<Record<CutPart, string>> = { hands: 'the hands', feet: 'the feet', head: 'the head' };

/** Words and figures for a note on the pictures. */
export function qualityWords(note: PictureNote): QualityWords {
  switch (note.kind) {
    case 'athlete-too-small':
      return {
        short: 'athlete small in the picture',
        reason: `The athlete is ${Math.round(note.heightPx)} pixels tall; from ${note.wantedPx} pixels on nothing is lost. On small figures one pixel turns an angle by more.`,
        whatToDoNextTime: 'Come closer or zoom in before filming, so that the athlete fills half of the picture’s height. Then leave the zoom alone.',
        source: 'The landmark model looks at 256 × 256 pixels around the body (Bazarevsky et al. 2020).',
      };
    case 'blurred':
      return {
        short: 'blurred while moving',
        reason: `While moving fast the athlete keeps ${percent(note.shareLeft)} of the sharpness of standing still: joints are smeared.`,
        whatToDoNextTime: 'Film in more light, so that the shutter gets short: 1/500 s keeps the smear at 5 m/s down to 1 cm, 1/100 s makes it 5 cm.',
        source: 'Sprinting wants 1/200 to 1/500 s (Bartlett 2007, Table 2.1); smear = speed × shutter time.',
      };
    case 'soft':
      return {
        short: 'not in focus',
        reason: `Nothing around the athlete is crisp (sharpness ${note.sharpness.toFixed(2)}; crisp clips read 0.14 and more).`,
        whatToDoNextTime: 'Wipe the lens, then hold a finger on the place of the start until the focus locks.',
        source: null,
      };
    case 'dim':
      return {
        short: 'little light',
        reason: `Around the athlete the picture is ${percent(note.brightness)} bright. Little light makes a picture grainy and its shutter slow.`,
        whatToDoNextTime: 'Switch on all lights and stand with your back to the windows.',
        source: null,
      };
    case 'cropped': {
      const parts = list(note.parts.map((part) => PART_WORDS[part]));
      const when = note.moments.length === 0 ? '' : ` at: ${note.moments.map((id) => MOMENT_WORDS[id].name.toLowerCase()).join(', ')}`;
      return {
        short: `${parts} outside the picture`,
        reason: `${capital(parts)} leave the picture${when}. What needs them is not measured.`,
        whatToDoNextTime: 'Step back until arms overhead and hands on the floor in front both fit, with a hand’s width to spare.',
        source: null,
      };
    }
    case 'person-crossing':
      return {
        short: 'someone in the way',
        reason: `At ${note.atS.toFixed(1)} s someone else covers ${percent(note.share)} of the athlete’s place in the picture.`,
        whatToDoNextTime: 'Keep the space between the phone and the run free, and let the next athlete wait outside the picture.',
        source: null,
      };
    case 'few-frames':
      return {
        short: 'few pictures a second',
        reason: `${Math.round(note.fps)} pictures a second: a moment is known to ± ${Math.round(1000 / note.fps / 2)} ms at best, and fast limbs jump from picture to picture.`,
        whatToDoNextTime: 'Set the phone to 60 pictures a second or more; 120 is better, and say so when it plays back slowed.',
        source: '50 to 60 a second are few for fast movement, about 100 are often needed (Bartlett 2007, pp. 121, 128).',
      };
    case 'camera-shake':
      return {
        short: 'the phone moved',
        reason: `The background moved by up to ${Math.round(note.removedPx)} pixels (${note.removedLeg.toFixed(2)} leg lengths). That was taken out of every figure.`,
        whatToDoNextTime: 'Put the phone on a stand, or lean it against something solid, and do not follow the athlete.',
        source: 'A rigid, still camera is the rule for measuring (Payton and Bartlett 2008, in teaching notes).',
      };
    case 'off-side':
      return {
        short: 'camera not side-on',
        reason: `The camera seems about ${Math.round(Math.abs(note.yawDeg))}° off side-on (± ${Math.round(2 * note.sdDeg)}°). Lengths shrink by 1.5 % at 10° and 6 % at 20°.`,
        whatToDoNextTime: 'Stand level with the place of the lunge and point the phone straight across the run. A line on the floor helps: it should run parallel to the picture’s lower edge.',
        source: 'Geometry: a length along the run shrinks by the cosine of the angle.',
      };
    case 'tipped':
      return {
        short: 'phone tipped sideways',
        reason: `The floor line drops by about ${Math.round(Math.abs(note.rollDeg))}° to the ${note.rollDeg > 0 ? 'right' : 'left'}. That was taken out of leans and lengths.`,
        whatToDoNextTime: 'Level the phone by its grid lines against the floor.',
        source: null,
      };
    case 'looking-down': {
      const [way, lean, shift] = note.tiltDeg > 0 ? ['down', 'inward', 'Lower'] : ['up', 'outward', 'Raise'];
      return {
        short: `phone looking ${way}`,
        reason: `The camera looks ${way} by about ${Math.round(Math.abs(note.tiltDeg))}° (± ${Math.round(2 * note.sdDeg)}°): near the picture’s edges what is upright seems to lean ${lean}. That was taken out of leans and lengths.`,
        whatToDoNextTime: `${shift} the lens to the athlete’s hip height and stand the phone upright.`,
        source: 'Geometry: in the picture of a camera that does not look straight ahead, upright lines meet.',
      };
    }
    case 'no-headroom':
      return {
        short: 'no room above',
        reason: `Arms overhead will leave the picture: ${heights(note.missingHeights)} too little above the athlete.`,
        whatToDoNextTime: 'Step back, or point the phone up until the floor is near the lower edge.',
        source: null,
      };
    case 'no-room-ahead':
      return {
        short: 'no room in front',
        reason: `The hands will come down outside the picture: ${heights(note.missingHeights)} too little in front of the athlete.`,
        whatToDoNextTime: 'Step back, or turn the phone so that the athlete starts near the edge of the picture; the lunge should be in its middle.',
        source: null,
      };
    case 'too-near':
      return {
        short: 'camera near',
        reason: `The camera stands about ${note.heights.toFixed(1)} body heights away; ${note.wantedHeights} at least are wanted. Near the camera the leg in front looks bigger than the one behind.`,
        whatToDoNextTime: 'Step back and zoom in until the athlete is as big as before, then leave the zoom alone.',
        source: 'Geometry: 0.15 m off the line changes sizes by 5 % at 3 m, 3 % at 5 m, 2 % at 8 m.',
      };
    case 'others-in-view':
      return {
        short: note.count === 1 ? 'someone else in view' : `${note.count} others in view`,
        reason: `The biggest person in the picture was looked at; ${note.count === 1 ? 'one more is' : `${note.count} more are`} in view.`,
        whatToDoNextTime: 'Let the others wait outside the picture, or tap the right one after filming.',
        source: null,
      };
    case 'nobody-seen':
      return {
        short: 'nobody seen',
        reason: 'No athlete stands in this picture.',
        whatToDoNextTime: 'Let the athlete stand where the start begins, then look again.',
        source: null,
      };
  }
}

function percent(share: number): string {
  return `${Math.round(100 * share)} %`;
}

function heights(count: number): string {
  return `${count.toFixed(count < 0.1 ? 2 : 1)} body heights`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function list(parts: readonly string[]): string {
  return parts.length < 2 ? (parts[0] ?? '') : `${parts.slice(0, -1).join(', ')} and ${parts[parts.length - 1]!}`;
}
