import { useLayoutEffect, useRef, useState } from 'react';
import styles from './floor-line.module.css';
import { floorPlaces } from './floor-places.ts';
import { momentsInOrder } from '../../state/moments-in-order.ts';
import type { Reading } from '../../reading/reading.ts';
import { MOMENT_WORDS } from '../../cues/index.ts';
import { useSession, useSessionState } from '../session-context.ts';

const LINE_Y = 16;
const HEIGHT = 60;

/**
 * The athlete's floor, exactly as wide as the picture above it: what stands on the line stands under the same spot of the
 * picture. Marked in leg lengths, or in metres when the scale is known, from the front toe in the set.
 */
export function FloorLine({ reading, picture }: { readonly reading: Reading; readonly picture: React.RefObject<HTMLElement | null> }) {
  const session = useSession();
  const moment = useSessionState((state) => state.moment);
  const box = useRef<HTMLDivElement>(null);
  const [{ widthPx, leftPx, picturePx }, setSize] = useState({ widthPx: 0, leftPx: 0, picturePx: 0 });
  useLayoutEffect(() => {
    const element = box.current;
    if (element === null) return;
    const measure = () => {
      const over = picture.current?.getBoundingClientRect();
      const own = element.getBoundingClientRect();
      setSize({ widthPx: own.width, leftPx: (over?.left ?? own.left) - own.left, picturePx: over?.width ?? own.width });
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    if (picture.current !== null) observer.observe(picture.current);
    return () => { observer.disconnect(); };
  }, [picture]);

  const floor = floorPlaces(reading);
  const scale = picturePx / reading.track.widthPx;
  const toX = (xPx: number) => leftPx + xPx * scale;
  const order = momentsInOrder(reading.moments);
  const ticks = floor.ticks.filter((tick) => toX(tick.xPx) >= 16 && toX(tick.xPx) <= widthPx - 20);
  return (
    <div ref={box} className={styles['floor']}>
      {widthPx > 0 && (
        <svg width={widthPx} height={HEIGHT} role="img" aria-label={floor.words}>
          {floor.places.map((place) => {
            const at = order.indexOf(place.moment);
            const hangX = (widthPx * (at + 0.5)) / order.length;
            const isOn = place.moment === moment;
            return place.hangs ? (
              <path key={`string ${place.moment}`} className={isOn ? styles['stringOn'] : styles['string']} d={`M${toX(place.xPx)} ${LINE_Y} V${LINE_Y + 22} L${hangX} ${HEIGHT}`} />
            ) : null;
          })}
          <path d={`M0 ${LINE_Y}H${widthPx}`} className={styles['line']} />
          {ticks.map((tick) => (
            <g key={tick.label + String(tick.xPx)}>
              <path d={`M${toX(tick.xPx)} ${LINE_Y}v${tick.label === '' ? 6 : 10}`} className={styles['tick']} />
              {tick.label !== '' && (
                <text x={toX(tick.xPx)} y={LINE_Y + 25} className={styles['number']}>{tick.label}</text>
              )}
            </g>
          ))}
          {floor.places.map((place) => {
            const isOn = place.moment === moment;
            return place.marks.map((mark) => (
              <g key={`${place.moment} ${mark.key}`} className={isOn ? styles['markOn'] : mark.isLead ? styles['lead'] : styles['other']}>
                {mark.kind === 'foot' ? (
                  <path d={`M${toX(mark.fromPx)} ${LINE_Y - 4}H${toX(mark.toPx)}`} className={styles['foot']} />
                ) : (
                  <path d={`M${toX(mark.fromPx) - 5} ${LINE_Y - 11}v8m5 -10v10m5 -8v8`} className={styles['hand']} />
                )}
              </g>
            ));
          })}
          <rect
            x="0" y="0" width={widthPx} height={HEIGHT} fill="transparent" aria-hidden="true"
            onClick={(event) => {
              const x = event.nativeEvent.offsetX;
              const nearest = [...floor.places].sort((a, b) => Math.abs(toX(a.xPx) - x) - Math.abs(toX(b.xPx) - x))[0];
              if (nearest !== undefined) session.showMoment(nearest.moment);
            }}
          />
        </svg>
      )}
      <ul className="visually-hidden">
        {floor.places.map((place) => (
          <li key={place.moment}>{MOMENT_WORDS[place.moment].name}: {place.words}</li>
        ))}
      </ul>
    </div>
  );
}
