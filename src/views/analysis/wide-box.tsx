import styles from './analysis.module.css';

/** Holds what may be wider than the page; can be scrolled with the keys. */
export function WideBox({ label, children }: { readonly label: string; readonly children: React.ReactNode }) {
  return (
    <div className={styles['wide']} role="region" aria-label={label} tabIndex={0}>
      {children}
    </div>
  );
}
