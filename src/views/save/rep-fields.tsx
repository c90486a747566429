import { SURFACE_IDS, SURFACE_NAMES } from '../../athletelog/index.ts';
import type { SaidPart } from '../../state/rep-draft.ts';
import { ChoiceChips, ManyChips } from '../parts/chips.tsx';
import { NumberField, TextField } from '../parts/text-fields.tsx';
import styles from './save-rep.module.css';

/** Surfaces as choices. */
export const SURFACE_CHOICES = SURFACE_IDS.map((value) => ({ value, word: SURFACE_NAMES[value] }));

/** States of the legs as choices. */
export const LEGS_CHOICES = [{ value: 'rested' as const, word: 'Rested' }, { value: 'tired' as const, word: 'Tired' }];

/** What only the coach can say about a rep; every change is handed on at once. */
export function RepFields({ said, passes, onChange }: {
  readonly said: SaidPart;
  /** Passes written before, to pick from. */
  readonly passes: readonly string[];
  readonly onChange: (part: Partial<SaidPart>) => void;
}) {
  return (
    <div className={styles['fields']}>
      <ManyChips legend="Surface" choices={SURFACE_CHOICES} chosen={said.surfaces} onChange={(surfaces) => { onChange({ surfaces }); }} />
      <ChoiceChips legend="Legs" choices={LEGS_CHOICES} chosen={said.legs} onChoose={(legs) => { onChange({ legs }); }} />
      <ChoiceChips
        legend="The pass"
        choices={[{ value: 'fits' as const, word: 'Fitted the floor' }, { value: 'misses' as const, word: 'Did not fit' }]}
        chosen={said.fitted === null ? null : said.fitted ? 'fits' : 'misses'}
        onChoose={(fitted) => { onChange({ fitted: fitted === null ? null : fitted === 'fits' }); }}
      />
      <ManyChips
        legend="This rep"
        choices={[{ value: 'star' as const, word: '★ Star' }, { value: 'pain' as const, word: 'Something hurts' }]}
        chosen={[...(said.isStarred ? ['star' as const] : []), ...(said.hasPain ? ['pain' as const] : [])]}
        onChange={(chosen) => { onChange({ isStarred: chosen.includes('star'), hasPain: chosen.includes('pain') }); }}
      />
      {said.hasPain && <p className={styles['pain']}>Stop for today. Any pain ends the session.</p>}
      <TextField label="Pass that followed" text={said.pass} suggestions={passes} maxLength={200} onCommit={(pass) => { onChange({ pass }); }} />
      <NumberField label="Start mark, metres on the floor" value={said.markAtM} from={0} to={60} onCommit={(markAtM) => { onChange({ markAtM }); }} />
      <TextField label="Note" text={said.note} isLong maxLength={4000} onCommit={(note) => { onChange({ note }); }} />
    </div>
  );
}
