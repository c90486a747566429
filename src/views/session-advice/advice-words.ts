import type { StopAdvice, StopRules } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import type { MeasureUnit } from '../../shapes/measure.ts';
import { START_NAMES, type StartId } from '../../starts/start.ts';
import { changeText, rangeText } from '../analysis/amounts.ts';
import type { InARow } from './in-a-row.ts';

/** A piece of advice in words: what to do, the figures that triggered it, and the rule behind. */
export interface AdviceWords {
  readonly say: string;
  readonly figure: string;
  readonly rule: string;
  /** True when it says that today is over. */
  readonly isStop: boolean;
}

/** The words of one piece of advice. `unitOf` tells the unit of a measure as it was stored. */
export function adviceWords(advice: StopAdvice | InARow, rules: StopRules, usualStart: StartId, unitOf: (start: StartId, measure: Extract<StopAdvice, { measure: unknown }>['measure']) => MeasureUnit): AdviceWords {
  const back = START_NAMES[usualStart].toLowerCase();
  switch (advice.kind) {
    case 'stop-pain':
      return {
        say: 'Something hurts: stop. No more passes today.',
        figure: `Pain was noted at rep ${advice.rep}.`,
        rule: 'Any pain ends tumbling for the day. Tell the coach and the parents; who is hurt comes back when a professional says so.',
        isStop: true,
      };
    case 'stop-falling': {
      const unit = unitOf(advice.start, advice.measure);
      return {
        say: `${MEASURE_NAMES[advice.measure]} falls: stop tumbling for today.`,
        figure: `${START_NAMES[advice.start]}: ${changeText(advice.change, unit)} over ${advice.reps} reps, ${Math.abs(advice.changePercent).toFixed(0)} % down, 95 % interval ${rangeText(advice.changeCi95, unit)}.`,
        rule: `A fall of ${rules.fallPercent} % or more that shows over ${rules.fallReps} reps or more means tired legs. Strength work has its own day.`,
        isStop: true,
      };
    }
    case 'drill-faster': {
      const unit = unitOf(advice.start, advice.measure);
      return {
        say: `This try was faster: the drill is done. Back to the ${back}, and compare.`,
        figure: `${START_NAMES[advice.start]}, try ${advice.tries} against the ones before: ${MEASURE_NAMES[advice.measure].toLowerCase()} ${changeText(advice.change, unit)}, 95 % interval ${rangeText(advice.changeCi95, unit)}${advice.about === 'these-reps' ? ' (measurement error only)' : ''}.`,
        rule: `A drill start is done once a try is really faster, or after ${rules.drillTries} tries. Then the usual start shows whether it helped.`,
        isStop: false,
      };
    }
    case 'drill-tries-done':
      return {
        say: `${advice.tries} tries are enough. Back to the ${back}, and compare.`,
        figure: `${START_NAMES[advice.start]}: ${advice.tries} tries in a row, none clearly faster, the rule says ${advice.limit}.`,
        rule: `A drill start is done once a try is really faster, or after ${rules.drillTries} tries. Then the usual start shows whether it helped.`,
        isStop: false,
      };
    case 'rest-reminder':
      return {
        say: 'Time for a rest. Passes are for fresh legs.',
        figure: `${advice.reps} reps in this session, the reminder comes at ${advice.limit}.`,
        rule: 'A reminder by number only: the athlete and the coach know how the legs feel.',
        isStop: false,
      };
    case 'in-a-row':
      return {
        say: `No sets of the ${START_NAMES[advice.start].toLowerCase()}. Rest, then back to the ${back}.`,
        figure: `${advice.tries} tries in a row.`,
        rule: advice.text,
        isStop: false,
      };
  }
}
