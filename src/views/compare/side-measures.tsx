import styles from './side-by-side.module.css';
import analysis from '../analysis/analysis.module.css';
import { MEASURE_NAMES, numberText, valueText } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { changeText, rangeText } from '../analysis/amounts.ts';
import { WideBox } from '../analysis/wide-box.tsx';
import type { sideMeasures } from './side-model.ts';

type SideMeasure = ReturnType<typeof sideMeasures>[number];

interface SideMeasuresProps {
  readonly measures: readonly SideMeasure[];
  readonly titles: readonly [string, string];
  /** The measure that is pointed out in both pictures. */
  readonly chosen: MeasureId | null;
  readonly onChoose: (measure: MeasureId) => void;
}

/** The measures of two reps: those that differ, clearest first, and folded away those of which no difference shows. */
export function SideMeasures({ measures, titles, chosen, onChoose }: SideMeasuresProps) {
  const differing = measures.filter((each) => each.difference.verdict !== 'no-difference');
  const others = measures.filter((each) => !differing.includes(each));
  return (
    <>
      {differing.length > 0 && <Rows caption="What differs, clearest first" measures={differing} titles={titles} chosen={chosen} onChoose={onChoose} />}
      {others.length > 0 && (
        <details className={analysis['behind']}>
          <summary>No difference shown: {others.length} {others.length === 1 ? 'measure' : 'measures'}</summary>
          <Rows caption="No difference shown" measures={others} titles={titles} chosen={chosen} onChoose={onChoose} />
        </details>
      )}
    </>
  );
}

function Rows({ caption, measures, titles, chosen, onChoose }: SideMeasuresProps & { readonly caption: string }) {
  return (
    <WideBox label={caption}>
      <table className={analysis['table']}>
        <caption className={caption === 'No difference shown' ? 'visually-hidden' : undefined}>{caption}</caption>
        <thead>
          <tr>
            <th scope="col">Measure</th>
            <th scope="col">{titles[0]} → {titles[1]}</th>
            <th scope="col">In the second, 95 % interval</th>
          </tr>
        </thead>
        <tbody>
          {measures.map((each) => (
            <tr key={each.id} className={chosen === each.id ? analysis['lead'] : undefined}>
              <th scope="row">
                <button type="button" className={analysis['link']} aria-pressed={chosen === each.id} onClick={() => { onChoose(each.id); }}>{MEASURE_NAMES[each.id]}</button>
              </th>
              <td className={styles['pair']}>{numberText(each.first, each.unit)} → {valueText(each.second, each.unit)}</td>
              <td>
                {each.difference.verdict !== 'no-difference' && <b>{changeText(each.difference.value, each.unit)}</b>}
                <span className={styles['range']}>{rangeText(each.difference.ci95, each.unit)}</span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </WideBox>
  );
}
