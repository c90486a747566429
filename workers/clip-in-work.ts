import { openClip, type OpenClip } from './open-clip.ts';
import { success, type Outcome } from '../src/units/outcome.ts';

let inWork: { readonly clipId: number; readonly clip: OpenClip } | null = null;

/** The clip under this id, opened on first use; the one before is closed. */
export async function clipInWork(clipId: number, file: File): Promise<Outcome<OpenClip>> {
  if (inWork?.clipId === clipId) return success(inWork.clip);
  inWork?.clip.input.dispose();
  inWork = null;
  const opened = await openClip(file);
  if (opened.ok) inWork = { clipId, clip: opened.value };
  return opened;
}
