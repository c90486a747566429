import { useEffect, useRef } from 'react';
import { Link, useLocation } from 'wouter';
import styles from './screen-line.module.css';
import { SCREENS } from './screens.tsx';

/** The words that lead to the screens: in the top line where it is wide, along the bottom edge, near the thumb, where it is narrow. */
export function ScreenLine() {
  const [at] = useLocation();
  const line = useRef<HTMLElement>(null);
  useEffect(() => {
    // On a phone the line is longer than the screen: the word of this screen is always in sight.
    const here = line.current?.querySelector<HTMLElement>('[aria-current]');
    if (here != null && line.current !== null) line.current.scrollLeft = here.offsetLeft - (line.current.clientWidth - here.offsetWidth) / 2;
  }, [at]);
  return (
    <nav ref={line} className={styles['line']} aria-label="Screens">
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
