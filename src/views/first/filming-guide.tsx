import { Link } from 'wouter';
import styles from './filming-guide.module.css';
import { CHECK_VIEW_PATH } from '../pre-check/check-view-path.ts';

/**
 * How to film so that it can be measured. Distance: parallax of 0.15 m stays within 2 % from 8 m on (geometry).
 * Exposure: sprinting needs 1/200 to 1/500 s (Bartlett 2007, table 2.1). Side-on: within 10° a right angle is seen less
 * than 1° wrong, a length 1.5 % short (geometry). Lens at hip height: common practice, no source.
 */
export function FilmingGuide() {
  return (
    <details className={styles['guide']}>
      <summary>How to film it</summary>
      <div className={styles['inside']}>
        <svg viewBox="0 0 480 200" className={styles['plan']} role="img" aria-label="Seen from above: the phone stands 8 metres to the side of the tumbling line and looks straight across it.">
          <path d="M20 40H460" className={styles['track']} />
          <path d="M150 52 h120 m-14 -9 l14 9 -14 9" className={styles['travel']} />
          <path d="M240 176 90 48M240 176 390 48" className={styles['view']} />
          <path d="M240 160V50" className={styles['distance']} />
          <rect x="222" y="166" width="36" height="18" rx="3" className={styles['phone']} />
          <text x="250" y="118">8 m</text>
          <text x="270" y="181">phone, straight across</text>
          <text x="20" y="28">tumbling line</text>
        </svg>
        <ol>
          <li><strong>From the side.</strong> Straight across the line, within 10°. The whole body and the first hands stay in view.</li>
          <li><strong>Far and low.</strong> About 8 m away (5 m at least), lens at hip height, phone level and still: lean it on something.</li>
          <li><strong>Fast.</strong> 60 frames a second or more; exposure 1/500 s if the phone lets you set it. Good light.</li>
          <li><strong>Leave a still moment</strong> before the start, and film until the hands are down. One athlete in view is best.</li>
          <li><strong>Keep the original.</strong> Slow motion: say later at how many frames a second it was filmed. On a phone, pick the clip from Files: the photo picker may shrink it.</li>
        </ol>
        <p><Link href={CHECK_VIEW_PATH}>Check the view with a photo or a second of a clip</Link> before the session.</p>
      </div>
    </details>
  );
}
