import { useState } from 'react';
import { Link, useLocation, useParams } from 'wouter';
import { START_IDS, START_NAMES, type Side, type StartId } from '../../starts/start.ts';
import { handMeasuredPart, NOTHING_SAID } from '../../state/rep-draft.ts';
import { ChoiceChips } from '../parts/chips.tsx';
import page from '../parts/page.module.css';
import { NumberField } from '../parts/text-fields.tsx';
import { AthleteChoice } from '../save/athlete-choice.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';

/** A rep without a clip: what the stopwatch and the floor say, then whose it is. */
export function HandRepScreen() {
  const { id } = useParams<{ id: string }>();
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const session = log.sessions.find((each) => each.id === id);
  const [, go] = useLocation();
  const [start, setStart] = useState<StartId>('two-step-run');
  const [lead, setLead] = useState<Side | null>(null);
  const [toHandsS, setToHands] = useState<number | null>(null);
  const [markM, setMark] = useState<number | null>(null);
  const [isBusy, setBusy] = useState(false);
  const [lacksLead, setLacksLead] = useState(false);
  if (session === undefined) return <p className={page['page']}>This session is not here any more. <Link href="/sessions">All sessions</Link></p>;
  const save = async (athleteId: string) => {
    const known = lead ?? records.store.getState().log.athletes.find((each) => each.id === athleteId)?.lead ?? null;
    if (known === null) {
      setLacksLead(true);
      return;
    }
    setBusy(true);
    const saved = await records.saveRep({
      athleteId, sessionId: session.id, measured: handMeasuredPart(start, known, { toHandsS, markM }),
      said: { ...NOTHING_SAID, surfaces: session.surfaces }, analysis: null, thumbnail: null, clip: null,
    });
    setBusy(false);
    if (saved.ok) go(`/sessions/${session.id}`);
  };
  return (
    <div className={page['page']}>
      <header className={page['head']}>
        <h2>A rep by hand</h2>
      </header>
      <ChoiceChips legend="Start" canBeNone={false} choices={START_IDS.map((value) => ({ value, word: START_NAMES[value] }))} chosen={start} onChoose={(value) => { if (value !== null) setStart(value); }} />
      <ChoiceChips
        legend={lacksLead && lead === null ? 'Lead leg: say which, it is not known for this athlete' : 'Lead leg (as stored with the athlete, unless said here)'}
        choices={[{ value: 'left' as const, word: 'Left' }, { value: 'right' as const, word: 'Right' }]}
        chosen={lead}
        onChoose={setLead}
      />
      <div className={page['fields']}>
        <NumberField label="First movement to hands, seconds" value={toHandsS} from={0.2} to={20} note="By stopwatch, counted as ± 0.3 s." onCommit={setToHands} />
        <NumberField label="Start mark to hands, metres" value={markM} from={0.2} to={60} note="Read off the floor, counted as ± 0.1 m." onCommit={setMark} />
      </div>
      <AthleteChoice sessionId={session.id} legend="Whose rep is it? A tap saves it." isBusy={isBusy} onChoose={(athleteId) => { void save(athleteId); }} />
    </div>
  );
}
