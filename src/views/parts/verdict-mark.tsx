import styles from './verdict-mark.module.css';
import type { Finding, Verdict } from '../../checker/finding.ts';

/** Class that gives a mark or a text the colour of its verdict. */
export function verdictClass(verdict: Verdict): string {
  return styles[verdict] ?? '';
}

/** The sign of a verdict: full, half, open diamond, wedge to its side, dashed ring. Drawn around (0, 0), 8 units in radius. */
export function VerdictShape({ verdict, side }: { readonly verdict: Verdict; readonly side: Finding['side'] }) {
  switch (verdict) {
    case 'in-band':
      return <circle r="7" className={styles['full']} />;
    case 'near':
      return (
        <>
          <circle r="6.5" className={styles['open']} />
          <path d={side === 'above' ? 'M0-7A7 7 0 0 1 0 7Z' : 'M0-7A7 7 0 0 0 0 7Z'} className={styles['full']} />
        </>
      );
    case 'too-close':
      return <path d="M0-8 8 0 0 8-8 0Z" className={styles['open']} />;
    case 'out':
      return <path d={side === 'below' ? 'M-9 0 6-8.5V8.5Z' : 'M9 0-6-8.5V8.5Z'} className={styles['full']} />;
    case 'not-measured':
      return <circle r="6.5" className={styles['dashed']} />;
  }
}

/** The sign of a verdict on its own, in the verdict's colour; always beside its words. */
export function VerdictMark({ verdict, side }: { readonly verdict: Verdict; readonly side: Finding['side'] }) {
  return (
    <svg viewBox="-10 -10 20 20" width="1.1em" height="1.1em" aria-hidden="true" className={verdictClass(verdict)}>
      <VerdictShape verdict={verdict} side={side} />
    </svg>
  );
}
