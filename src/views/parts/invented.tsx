import { useRecords, useRecordsActions } from '../records-context.ts';
import buttons from './buttons.module.css';
import page from './page.module.css';

/** Stands beside everything of the invented club. */
export function InventedMark() {
  return <span className={page['invented']}>invented</span>;
}

/** Says that the club on screen is invented, with the one tap that takes it away; nothing when there is none. */
export function InventedNote() {
  const records = useRecordsActions();
  const isThere = useRecords((state) => state.log.athletes.some((athlete) => athlete.isInvented));
  if (!isThere) return null;
  return (
    <p className={page['remind']}>
      <span>The Brackwater Tumblers, their athletes and all their figures are invented, for looking around.</span>
      <button type="button" className={buttons['quiet']} onClick={() => { void records.remove({ what: 'invented' }); }}>Remove the invented club</button>
    </p>
  );
}
