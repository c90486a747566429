import type { MomentId } from '../phases/moment.ts';
import type { Verdict } from '../checker/finding.ts';
import type { MeasureId, MeasureUnit } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';

/** Full name of a measure, as a table shows it. */
export const MEASURE_NAMES: Readonly<Record<MeasureId, string>> = {
  'set.backKnee': 'Back knee in the low lunge',
  'set.frontKnee': 'Front knee before the start',
  'set.lungeRatio': 'Length of the low lunge',
  'set.trunkLean': 'Lean before the start',
  'set.armsBehind': 'Arms behind the trunk',
  'set.passeKnee': 'Passé knee before the start',
  'set.passeThigh': 'Passé thigh above level, before the start',
  'passe.knee': 'Passé knee',
  'passe.thigh': 'Knee drive, thigh above level',
  'launch.trunkLean': 'Lean at launch',
  'launch.pushKnee': 'Pushing knee at launch',
  'launch.hipSpeed': 'Hip speed at launch',
  'hurdle.flight': 'Time in the air, launch to lunge',
  'plant.lungeRatio': 'Lunge length',
  'plant.trunkLean': 'Lean as the lunge lands',
  'plant.frontKnee': 'Front knee as the lunge lands',
  'kick.split': 'Legs open as the hands land',
  'kick.rate': 'Speed of the kick',
  'kick.rearKnee': 'Kicking knee as the hands land',
  'steps.count': 'Steps before the hurdle',
  'steps.length[1]': 'Length of the first step',
  'steps.length[2]': 'Length of the second step',
  'steps.time[1]': 'Time of the first step',
  'steps.time[2]': 'Time of the second step',
  'steps.firstLeg': 'First step on',
  'time.toPlant': 'First move to lunge',
  'time.toHands': 'First move to hands',
  'mark.toHands': 'Mark to hands',
};

/** Short name of a measure, as the picture and a phone show it. */
export const MEASURE_SHORT_NAMES: Readonly<Record<MeasureId, string>> = {
  'set.backKnee': 'Back knee',
  'set.frontKnee': 'Front knee',
  'set.lungeRatio': 'Low lunge',
  'set.trunkLean': 'Lean',
  'set.armsBehind': 'Arms back',
  'set.passeKnee': 'Passé knee, still',
  'set.passeThigh': 'Thigh, still',
  'passe.knee': 'Passé knee',
  'passe.thigh': 'Knee drive',
  'launch.trunkLean': 'Lean at launch',
  'launch.pushKnee': 'Pushing knee',
  'launch.hipSpeed': 'Hip speed',
  'hurdle.flight': 'Flight',
  'plant.lungeRatio': 'Lunge length',
  'plant.trunkLean': 'Lean, landing',
  'plant.frontKnee': 'Front knee, landing',
  'kick.split': 'Legs open',
  'kick.rate': 'Kick speed',
  'kick.rearKnee': 'Kicking knee',
  'steps.count': 'Steps',
  'steps.length[1]': 'Step 1',
  'steps.length[2]': 'Step 2',
  'steps.time[1]': 'Step 1 time',
  'steps.time[2]': 'Step 2 time',
  'steps.firstLeg': 'First foot',
  'time.toPlant': 'To lunge',
  'time.toHands': 'To hands',
  'mark.toHands': 'Mark to hands',
};

/** Name of a key moment, and what it is in one sentence. */
export const MOMENT_WORDS: Readonly<Record<MomentId, { readonly name: string; readonly meaning: string }>> = {
  set: { name: 'Set', meaning: 'The last still moment before the first movement.' },
  firstMove: { name: 'First move', meaning: 'The first movement that leads into the start.' },
  launch: { name: 'Launch', meaning: 'The pushing foot leaves the floor. In a tip, the moment when the lunge lands.' },
  passe: { name: 'Passé', meaning: 'The driven knee is at its highest.' },
  plant: { name: 'Lunge', meaning: 'The front foot lands in the lunge.' },
  hands: { name: 'Hands', meaning: 'The first hand touches the floor.' },
};

/** Word for a verdict. */
export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  'in-band': 'On target',
  near: 'Near',
  'too-close': 'Too close to call',
  out: 'Off target',
  'not-measured': 'Not measured',
};

/** Unit as written after a number; the degree sign stands without a space. */
export const UNIT_WORDS: Readonly<Record<MeasureUnit, string>> = {
  deg: '°',
  leg: 'leg lengths',
  m: 'm',
  s: 's',
  'leg/s': 'leg lengths/s',
  'm/s': 'm/s',
  'deg/s': '°/s',
  count: 'steps',
  side: 'foot',
};

/** What a start looks like and what it is used for, in plain words. Uses: common practice, no source. */
export const START_WORDS: Readonly<Record<StartId, { readonly looks: string; readonly use: string }>> = {
  'two-step-run': {
    looks: 'Feet together, two running steps, a hurdle, then the lunge. The first step is on the leg you lunge onto.',
    use: 'The usual start. Go back to it after a drill and see if the pass is faster.',
  },
  'power-hurdle': {
    looks: 'Feet together, arms swing, a jump off both feet forward into the lunge.',
    use: 'Builds the push off the floor and the drive of the knee. On soft floors it is often the longest start.',
  },
  'sprint-lunge': {
    looks: 'From a low lunge with the arms back: the back knee drives through and you land in the lunge.',
    use: 'Builds a hard push and a forward lean.',
  },
  'hop-from-passe': {
    looks: 'Stand on one leg in passé with the arms up. Arms and knee swing, hop, then the lunge.',
    use: 'Builds the knee drive and a tight passé.',
  },
  'tip-from-passe': {
    looks: 'Stand in passé, most often on a wedge. No hop: tip forward and land in the lunge.',
    use: 'Shows how much the kick alone can do. Not for a beginner alone.',
  },
  'half-kneeling': {
    looks: 'One knee down. Stand up fast out of the front leg, drive the knee through, land in the lunge.',
    use: 'Builds strong legs. Hard work: single tries, never in sets.',
  },
};
