import { useRecords, useRecordsActions } from '../records-context.ts';
import buttons from './buttons.module.css';
import page from './page.module.css';

/** Stands beside everything of the invented club. */
export function InventedMark() {
  return <span className={page['invented']}>invented</span>;
}

/** Says that the club on screen, or a rep of the example clip, is invented, with the one tap that takes it away; nothing when there is none. */
export function InventedNote() {
  const records = useRecordsActions();
  const hasClub = useRecords((state) => state.log.athletes.some((athlete) => athlete.isInvented));
  const hasExample = useRecords((state) => state.log.reps.some((rep) => rep.isInvented === true));
  if (!hasClub && !hasExample) return null;
  return (
    <p className={page['remind']}>
      <span>
        {hasClub && 'The Brackwater Tumblers, their athletes and all their figures are invented, for looking around. '}
        {hasExample && 'Reps of the example clip are marked as invented too, whoever they were saved under.'}
      </span>
      <button type="button" className={buttons['quiet']} onClick={() => { void records.remove({ what: 'invented' }); }}>{hasClub ? 'Remove the invented club' : 'Remove the invented reps'}</button>
    </p>
  );
}
