import type { MeasureId } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';

/** What to do when a measure lies below or above its band: second person, plain words, no number, no word about a body. */
export interface CuePair {
  readonly below: string;
  readonly above: string;
}

/** The built-in cue of every measure. */
export const CUES: Readonly<Record<MeasureId, CuePair>> = {
  'set.backKnee': {
    below: 'Your back knee is more bent than your target. Push your back leg a bit longer, but keep the knee soft.',
    above: 'Bend your back knee a little in the low lunge. A locked leg has no push left in it.',
  },
  'set.frontKnee': {
    below: 'Sit a little higher over your front leg before you go.',
    above: 'Bend your front knee more before you go, so you can push hard.',
  },
  'set.lungeRatio': {
    below: 'Start from a longer lunge. Slide your back foot further back.',
    above: 'Start from a shorter lunge. Bring your back foot in a little.',
  },
  'set.trunkLean': {
    below: 'Lean your chest further forward before you go.',
    above: 'Lift your chest a little before you go. Look ahead, not at your feet.',
  },
  'set.armsBehind': {
    below: 'Swing your arms further back before you go.',
    above: 'Keep your arms a little lower behind you, so they can swing through fast.',
  },
  'set.passeKnee': {
    below: 'Let your toe slide down a little, so it rests at the side of your other knee.',
    above: 'Bend your lifted leg more. Bring your toe up to the side of your other knee.',
  },
  'set.passeThigh': {
    below: 'Lift your knee higher before you go. Your thigh should be level with the floor.',
    above: 'Lower your knee a little before you go. Your thigh should be level with the floor.',
  },
  'passe.knee': {
    below: 'Your knee folds up tighter than your target. Let your foot hang a bit lower as the knee drives up.',
    above: 'Bend your knee more as it drives up. Snap your foot in to your other knee.',
  },
  'passe.thigh': {
    below: 'Drive your front knee up higher, level with your hip.',
    above: 'Drive your front knee forward, not so far up.',
  },
  'launch.trunkLean': {
    below: 'Lean your chest forward as you push off.',
    above: 'Keep your chest up a bit more as you push off.',
  },
  'launch.pushKnee': {
    below: 'Push the floor away until your back leg is straight.',
    above: 'Keep a soft knee as your pushing leg leaves the floor.',
  },
  'launch.hipSpeed': {
    below: 'Push harder, so you go faster into your lunge.',
    above: 'Slow down a little, so you can keep your shape.',
  },
  'hurdle.flight': {
    below: 'Stay in the air a bit longer before your lunge.',
    above: 'Stay lower before your lunge. Go forward, not up.',
  },
  'plant.lungeRatio': {
    below: 'Make your lunge longer. Reach out with your front foot.',
    above: 'Make your lunge a bit shorter. Put your front foot down sooner.',
  },
  'plant.trunkLean': {
    below: 'Lean forward over your front leg as you land in the lunge.',
    above: 'Keep your chest up a bit longer as you land in the lunge.',
  },
  'plant.frontKnee': {
    below: 'Stay tall on your front leg as you land in the lunge. Do not sink down.',
    above: 'Land in the lunge with a softer front knee.',
  },
  'kick.split': {
    below: 'Kick your back leg up sooner, so your legs are wide open as your hands reach the floor.',
    above: 'Your legs open wider than your target. Push off your front leg a bit sooner.',
  },
  'kick.rate': {
    below: 'Kick your back leg up faster as you reach for the floor.',
    above: 'Kick your back leg up a bit more smoothly.',
  },
  'kick.rearKnee': {
    below: 'Keep your kicking leg straight all the way up.',
    above: 'Keep your kicking knee a little softer.',
  },
  'steps.count': {
    below: 'Take all your steps before the hurdle.',
    above: 'Take fewer steps before the hurdle. Make each step a hard push.',
  },
  'steps.length[1]': {
    below: 'Make your first step longer. Push hard right away.',
    above: 'Make your first step a bit shorter, so your foot lands under you.',
  },
  'steps.length[2]': {
    below: 'Make your second step longer. Keep on pushing.',
    above: 'Make your second step a bit shorter, so your foot lands under you.',
  },
  'steps.time[1]': {
    below: 'Give your first step a bit more time to push.',
    above: 'Make your first step quicker.',
  },
  'steps.time[2]': {
    below: 'Give your second step a bit more time to push.',
    above: 'Make your second step quicker.',
  },
  'steps.firstLeg': {
    below: 'Start your run with the other foot. Your first step goes on the leg that you lunge onto.',
    above: 'Start your run with the other foot. Your first step goes on the leg that you lunge onto.',
  },
  'time.toPlant': {
    below: 'Take the time to finish your push before your lunge.',
    above: 'Get to your lunge quicker. Push hard from the very start.',
  },
  'time.toHands': {
    below: 'Take the time to finish your lunge before your hands go down.',
    above: 'Get your hands to the floor quicker. Push hard from the very start.',
  },
  'mark.toHands': {
    below: 'Push further out from your mark.',
    above: 'You travel further than your target. Move your mark back a little.',
  },
};

/** Cues that a start words in its own way. */
export const START_CUES: Readonly<Partial<Record<StartId, Readonly<Partial<Record<MeasureId, CuePair>>>>>> = {
  'power-hurdle': {
    'passe.thigh': {
      below: 'As you come out of your jump, drive your front knee up higher, level with your hip.',
      above: 'As you come out of your jump, drive your front knee forward, not so far up.',
    },
    'launch.trunkLean': {
      below: 'Jump forward, not just up. Let your chest lead.',
      above: 'Keep your chest up a bit more as you jump.',
    },
    'launch.pushKnee': {
      below: 'Push off both feet until your legs are straight.',
      above: 'Keep your knees soft as you leave the floor.',
    },
    'hurdle.flight': {
      below: 'Jump a bit longer before your lunge.',
      above: 'Keep your jump lower. Jump forward, not up.',
    },
  },
  'sprint-lunge': {
    'launch.trunkLean': {
      below: 'Stay low and lean forward as you push off. Do not stand up first.',
      above: 'Keep your chest up a bit more as you push off.',
    },
  },
  'hop-from-passe': {
    'launch.trunkLean': {
      below: 'Hop forward, not just up. Let your chest lead.',
      above: 'Keep your chest up a bit more as you hop.',
    },
    'launch.pushKnee': {
      below: 'Hop off a straight leg. Push the floor all the way away.',
      above: 'Keep a soft knee as your hopping leg leaves the floor.',
    },
    'hurdle.flight': {
      below: 'Make your hop a bit longer before your lunge.',
      above: 'Keep your hop lower. Hop forward, not up.',
    },
  },
  'tip-from-passe': {
    'launch.trunkLean': {
      below: 'Let your whole body tip forward before your front foot lands.',
      above: 'Keep your chest up a bit longer as you tip.',
    },
    'launch.hipSpeed': {
      below: 'Tip sooner and let yourself fall into the lunge.',
      above: 'Do not jump. Just let yourself tip into the lunge.',
    },
    'plant.trunkLean': {
      below: 'Let your whole body tip forward before your front foot lands.',
      above: 'Keep your chest up a bit longer as you land in the lunge.',
    },
    'time.toPlant': {
      below: 'Do not jump. Let yourself tip into the lunge.',
      above: 'Let yourself tip. Do not hold back.',
    },
  },
  'half-kneeling': {
    'set.frontKnee': {
      below: 'Slide your front foot forward a little, so your shin stands up straight.',
      above: 'Bring your front foot in a little, so your shin stands up straight.',
    },
    'launch.trunkLean': {
      below: 'Lean forward as you stand up and push. Do not come up tall first.',
      above: 'Keep your chest up a bit more as you push off.',
    },
    'launch.pushKnee': {
      below: 'Push up out of your front leg until it is straight.',
      above: 'Keep a soft knee as your pushing leg leaves the floor.',
    },
  },
};

/** The built-in cue for one measure of one start and one side of the band. */
export function builtInCue(start: StartId, measure: MeasureId, side: 'below' | 'above'): string {
  return (START_CUES[start]?.[measure] ?? CUES[measure])[side];
}
