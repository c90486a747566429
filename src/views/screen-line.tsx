import { Link, useLocation } from 'wouter';
import styles from './screen-line.module.css';
import { SCREENS } from './screens.tsx';

/** The words that lead to the screens: in the top line where it is wide, along the bottom edge, near the thumb, where it is narrow. */
export function ScreenLine() {
  const [at] = useLocation();
  return (
    <nav className={styles['line']} aria-label="Screens">
      <ul>
        {SCREENS.flatMap(({ path, word }) => (word === null ? [] : [{ path, word }])).map(({ path, word }) => {
          const isHere = path === '/' ? at === '/' : at === path || at.startsWith(`${path}/`);
          return (
            <li key={path}>
              <Link href={path} className={isHere ? styles['here'] : styles['there']} aria-current={isHere ? 'page' : undefined}>{word}</Link>
            </li>
          );
        })}
      </ul>
    </nav>
  );
}
