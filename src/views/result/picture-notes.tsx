import styles from './picture-notes.module.css';
import { checkPicture } from '../../camera/index.ts';
import { qualityWords } from '../../cues/index.ts';
import type { Analysis, Reading } from '../../reading/reading.ts';

/** What stands in the way in the pictures themselves, and what to do next time; nothing when they are good. */
export function PictureNotes({ analysis, reading }: { readonly analysis: Analysis; readonly reading: Reading }) {
  const notes = checkPicture(analysis, reading);
  if (notes.length === 0) return null;
  return (
    <section className={styles['notes']} aria-label="About the pictures">
      <ul>
        {notes.map((note) => {
          const words = qualityWords(note);
          return (
            <li key={note.kind} className={note.severity === 'poor' ? styles['poor'] : styles['hint']}>
              <details>
                <summary>{words.short}</summary>
                <p>{words.reason}</p>
                <p>{words.whatToDoNextTime}</p>
              </details>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
