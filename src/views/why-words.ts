import type { WhyNot } from '../units/why-not.ts';

/** Why something was not measured, and what helps, in plain words. */
export const WHY_WORDS: Readonly<Record<WhyNot, string>> = {
  'not-in-view': 'part of the athlete is outside the picture',
  'too-blurred': 'the picture is too blurred here',
  'camera-off-side': 'the camera stands too far off side-on',
  'moment-not-found': 'this moment was not found in the clip',
  'time-base-unknown': 'say first whether the clip is in real time',
  'no-scale': 'enter the athlete’s height first',
  'person-in-the-way': 'someone stands in the way',
  'low-confidence': 'the athlete is not seen clearly enough here',
};
