import { useState } from 'react';
import { useRecordsActions } from '../records-context.ts';
import buttons from './buttons.module.css';

/** The one tap that fills every screen with the invented club. */
export function LoadInvented({ word = 'Look around with an invented club' }: { readonly word?: string }) {
  const records = useRecordsActions();
  const [isBusy, setBusy] = useState(false);
  const load = async () => {
    setBusy(true);
    await records.loadDemo();
    setBusy(false);
  };
  return (
    <button type="button" className={buttons['quiet']} disabled={isBusy} onClick={() => { void load(); }}>
      {isBusy ? 'Inventing a season …' : word}
    </button>
  );
}
