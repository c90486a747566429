import { fileName } from '../../export/index.ts';
import { dayOf, type Records } from '../../state/records.ts';

/** Hands the user a backup of everything as a file. */
export async function saveBackupFile(records: Records): Promise<void> {
  const text = await records.backup();
  const url = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  const link = document.createElement('a');
  link.href = url;
  link.download = fileName(['lungeline', 'backup', dayOf(new Date())], 'json');
  link.click();
  // The browser has taken the file over by then.
  setTimeout(() => { URL.revokeObjectURL(url); }, 60_000);
}
