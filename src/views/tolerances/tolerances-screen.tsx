import { useRecords, useRecordsActions } from '../records-context.ts';
import { TolerancesView } from './tolerances-view.tsx';

/** The coach's own tolerances. */
export function TolerancesScreen() {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const profiles = useRecords((state) => state.profiles);
  const profileInUse = useRecords((state) => state.profileInUse);
  const assignments = useRecords((state) => state.assignments);
  const status = useRecords((state) => state.status);
  return (
    <TolerancesView
      key={status} log={log} profiles={profiles} profileInUse={profileInUse} assignments={assignments} newId={() => crypto.randomUUID()}
      onSave={(profile) => { void records.putProfile(profile); }}
      onUse={(id) => { void records.setProfileInUse(id); }}
      onAssign={(next) => { void records.putAssignments(next); }}
      onFile={saveFile}
    />
  );
}

/** Hands the user a text as a file. */
function saveFile(name: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser has taken the file over by then.
  setTimeout(() => { URL.revokeObjectURL(url); }, 60_000);
}
