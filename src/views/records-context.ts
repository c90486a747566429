import { createContext, useContext } from 'react';
import { useStore } from 'zustand';
import type { Records, RecordsState } from '../state/records.ts';

/** The records that the views show and change; given once by the app. */
export const RecordsContext = createContext<Records | null>(null);

/** Every action on the records. Throws outside the app. */
export function useRecordsActions(): Records {
  const records = useContext(RecordsContext);
  if (records === null) throw new TypeError('no records around this view');
  return records;
}

/** A part of what is kept; the view follows it. */
export function useRecords<T>(pick: (state: RecordsState) => T): T {
  return useStore(useRecordsActions().store, pick);
}
