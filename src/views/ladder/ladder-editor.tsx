import styles from './ladder.module.css';
import analysis from '../analysis/analysis.module.css';
import { DEFAULT_LADDER, SURFACE_IDS, SURFACE_NAMES, type Ladder, type LadderRule, type LadderRuleKind } from '../../athletelog/index.ts';
import { START_IDS, START_NAMES } from '../../starts/start.ts';
import { AmountField } from '../analysis/amount-field.tsx';
import { Pick } from '../analysis/pick.tsx';
import { Checks, RuleSheet } from '../analysis/rule-sheet.tsx';
import type { TakeBack } from '../analysis/use-take-back.ts';
import buttons from '../parts/buttons.module.css';
import { TextField } from '../parts/text-fields.tsx';
import { RULE_WORDS } from './ladder-words.ts';

const START_CHOICES = START_IDS.map((value) => ({ value, word: START_NAMES[value] }));
const SURFACE_CHOICES = SURFACE_IDS.map((value) => ({ value, word: SURFACE_NAMES[value] }));
const KINDS = (Object.keys(RULE_WORDS) as LadderRuleKind[]).map((value) => ({ value, word: RULE_WORDS[value] }));

/** Where and for what a rule holds, in one line, e.g. "Usual minimum: power hurdle, on air floor or trampoline track". */
export function ruleLine(rule: LadderRule): string {
  const starts = rule.starts.map((start) => START_NAMES[start].toLowerCase()).join(', ');
  const all = rule.onAll.map((surface) => SURFACE_NAMES[surface].toLowerCase()).join(' and ');
  const any = rule.onAny.map((surface) => SURFACE_NAMES[surface].toLowerCase()).join(' or ');
  const where = [all, any].filter((part) => part !== '').join(', and ');
  return `${RULE_WORDS[rule.kind]}: ${starts === '' ? 'no start yet' : starts}${where === '' ? '' : `, on ${where}`}`;
}

/** The ladder's rules as the coach wants them: when shapes count as holding, and what holds for which start on which floor. */
export function LadderEditor({ ladder, edit }: { readonly ladder: Ladder; readonly edit: TakeBack<Ladder> }) {
  const { change, takeBack } = edit;
  const isBuiltIn = JSON.stringify(ladder) === JSON.stringify(DEFAULT_LADDER);
  const putRule = (rule: LadderRule, field?: string) => { change({ ...ladder, rules: ladder.rules.map((each) => (each.id === rule.id ? rule : each)) }, field); };
  const addRule = () => {
    const rule: LadderRule = { id: crypto.randomUUID(), kind: 'coach-at-side', starts: [], onAll: [], onAny: [], text: 'Ask your coach first.' };
    change({ ...ladder, rules: [...ladder.rules, rule] });
  };
  return (
    <RuleSheet summary="The rules of the ladder, and why; change them" isBuiltIn={isBuiltIn} onBuiltIn={() => { change(DEFAULT_LADDER); }} takeBack={takeBack}>
      <section aria-label="When shapes hold">
        <h3>When do the shapes hold?</h3>
        <p className={analysis['soft']}>
          Only the latest filmed reps of a start are looked at. One good rep is luck: it takes a few before anything is said.
          A shape that is off in half of its clear reps, twice or more, is a habit: then they do not hold, whatever the share.
        </p>
        <div className={analysis['row']}>
          <AmountField label="Latest reps looked at" unit="reps" value={ladder.lastReps} min={ladder.fewestReps} max={100} step={1} onAmount={(value) => { change({ ...ladder, lastReps: Math.round(value) }, 'last'); }} />
          <AmountField label="Something is said from" unit="reps" value={ladder.fewestReps} min={1} max={ladder.lastReps} step={1} onAmount={(value) => { change({ ...ladder, fewestReps: Math.round(value) }, 'fewest'); }} />
          <AmountField label="Share on target at least" unit="%" value={100 * ladder.holdShare} min={0} max={100} step={1} onAmount={(value) => { change({ ...ladder, holdShare: value / 100 }, 'share'); }} />
        </div>
      </section>
      <section aria-label="Rules of starts and floors">
        <h3>Starts and floors</h3>
        <p className={analysis['soft']}>
          A rule stands beside its starts on the floors that you tick; without a floor it stands everywhere.
          Two tries in a row of a start that is “{RULE_WORDS['never-in-sets'].toLowerCase()}” bring the advice to rest.
        </p>
        {ladder.rules.map((rule) => (
          <details key={rule.id} className={styles['edited']}>
            <summary>{ruleLine(rule)}</summary>
            <div>
              <Pick label="What it says" value={rule.kind} options={KINDS} onPick={(kind) => { putRule({ ...rule, kind }); }} />
              <Checks legend="Starts" choices={START_CHOICES} chosen={rule.starts} onToggle={(starts) => { putRule({ ...rule, starts }); }} />
              <Checks legend="Floors that must all be there" choices={SURFACE_CHOICES} chosen={rule.onAll} onToggle={(onAll) => { putRule({ ...rule, onAll }); }} />
              <Checks legend="Floors of which one is enough" choices={SURFACE_CHOICES} chosen={rule.onAny} onToggle={(onAny) => { putRule({ ...rule, onAny }); }} />
              <TextField label="In your words" text={rule.text} isLong maxLength={600} onCommit={(text) => { if (text !== '') putRule({ ...rule, text }, `text ${rule.id}`); }} />
              <button type="button" className={analysis['link']} onClick={() => { change({ ...ladder, rules: ladder.rules.filter((each) => each.id !== rule.id) }); }}>Delete this rule</button>
            </div>
          </details>
        ))}
        <button type="button" className={buttons['quiet']} onClick={addRule}>Add a rule</button>
      </section>
    </RuleSheet>
  );
}
