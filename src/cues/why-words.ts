import type { WhyNot } from '../units/why-not.ts';

/** Why something was not measured, and what to do next time. */
export interface WhyWords {
  readonly short: string;
  readonly reason: string;
  readonly nextTime: string;
}

/** Plain words for every reason why a measure or a moment has no value. */
export const WHY_WORDS: Readonly<Record<WhyNot, WhyWords>> = {
  'not-in-view': {
    short: 'not in view',
    reason: 'A part of the body that this needs was outside the picture.',
    nextTime: 'Step back so that hands and feet stay in the picture from the first move to the hands on the floor.',
  },
  'too-blurred': {
    short: 'too blurred',
    reason: 'The athlete moved too fast for the picture: the joint is smeared.',
    nextTime: 'Film with more light and more frames per second, and keep the phone still.',
  },
  'camera-off-side': {
    short: 'camera not side-on',
    reason: 'The camera looked at the run at a slant, so this would come out wrong.',
    nextTime: 'Stand level with the lunge and point the phone straight across the run.',
  },
  'moment-not-found': {
    short: 'moment not found',
    reason: 'The moment at which this is read was not found in the clip.',
    nextTime: 'Start filming before the first move and stop after the hands are down. You can also place the moment by hand.',
  },
  'time-base-unknown': {
    short: 'clip speed unknown',
    reason: 'The clip may be slow motion, so its seconds may not be real seconds.',
    nextTime: 'Tell Lungeline at how many frames per second it was filmed.',
  },
  'no-scale': {
    short: 'no scale',
    reason: 'Nothing in the clip says how long a metre is.',
    nextTime: 'Enter how tall the athlete is, or tap two marks on the floor a known distance apart.',
  },
  'person-in-the-way': {
    short: 'someone in the way',
    reason: 'Another person covered the athlete.',
    nextTime: 'Keep the space between the phone and the run free.',
  },
  'low-confidence': {
    short: 'not clear enough',
    reason: 'The joint could not be seen well enough to trust a number.',
    nextTime: 'Film in good light, side-on and closer, in clothes that stand out from the wall.',
  },
};
