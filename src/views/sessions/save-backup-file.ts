import { fileName } from '../../export/index.ts';
import { dayOf, type Records } from '../../state/records.ts';
import { saveFile } from '../parts/save-file.ts';

/** Hands the user a backup of everything as a file. */
export async function saveBackupFile(records: Records): Promise<void> {
  saveFile(await records.backup(), fileName(['lungeline', 'backup', dayOf(new Date())], 'json'), 'application/json');
}
