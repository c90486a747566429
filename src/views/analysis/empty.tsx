import styles from './analysis.module.css';

/** What a screen says when it has nothing to show yet: what to do so that it has. */
export function Empty({ title, todo, action }: { readonly title: string; readonly todo: string; readonly action?: React.ReactNode }) {
  return (
    <section className={styles['empty']} aria-label={title}>
      <h2>{title}</h2>
      <p>{todo}</p>
      {action}
    </section>
  );
}
