import { useId, useState } from 'react';
import styles from './tolerances.module.css';
import analysis from '../analysis/analysis.module.css';
import type { Finding } from '../../checker/finding.ts';
import { bandText, builtInCue, MEASURE_NAMES, UNIT_WORDS } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import type { StartId } from '../../starts/start.ts';
import { bandFault, BASIS_NAMES, DEFAULT_LABEL, type Tolerance, type ToleranceEdit } from '../../tolerances/index.ts';
import { AmountField } from '../analysis/amount-field.tsx';
import { BandDrawing } from './band-drawing.tsx';

interface MeasureEditorProps {
  readonly start: StartId;
  readonly measure: MeasureId;
  /** As it judges now, and as it would. */
  readonly before: Tolerance | null;
  readonly after: Tolerance;
  /** True when an override names this entry itself. */
  readonly isOwn: boolean;
  /** Values of the drawn reps in the band's unit, and what the edited band says about them. */
  readonly values: readonly number[];
  readonly findings: readonly Finding[];
  readonly changed: number;
  readonly onEdit: (edit: ToleranceEdit) => void;
  readonly onReset: () => void;
}

const STEPS: Readonly<Partial<Record<Tolerance['unit'], number>>> = { deg: 1, 'deg/s': 5, count: 1 };

/** One measure's band: drawn over the stored reps, and open to change. */
export function MeasureEditor({ start, measure, before, after, isOwn, values, findings, changed, onEdit, onReset }: MeasureEditorProps) {
  const [fault, setFault] = useState<string | null>(null);
  const [isOpen, setOpen] = useState(false);
  const { unit, band } = after;
  const step = STEPS[unit] ?? 0.01;
  const setBand = (next: readonly [number, number]) => {
    const wrong = bandFault(measure, next);
    setFault(wrong);
    if (wrong === null) onEdit({ band: next });
  };
  return (
    <section className={styles['measure']} aria-label={MEASURE_NAMES[measure]}>
      <h3 className={styles['name']}>{MEASURE_NAMES[measure]}</h3>
      <p className={styles['aims']}>
        <span className={styles['aim']}>{band === null ? 'not judged' : unit === 'side' ? (band[0] > 0 ? 'lead leg' : 'other leg') : `aim ${bandText(band, unit)}`}</span>
        {isOwn && <span className={styles['own']}>own</span>}
        {changed > 0 && <span className={styles['count']}>{changed} would change</span>}
      </p>
      {unit !== 'side' && <BandDrawing before={before} after={after} values={values} findings={findings} />}
      <button type="button" className={styles['change']} aria-expanded={isOpen} onClick={() => { setOpen(!isOpen); }}>
        {isOpen ? 'Close' : 'Change'}<span className="visually-hidden"> {MEASURE_NAMES[measure]}</span>
      </button>
      {isOpen && <div className={styles['edit']}>
      <div className={styles['fields']}>
        {band !== null && unit === 'side' && (
          <fieldset className={analysis['segments']}>
            <legend className="visually-hidden">First step on</legend>
            <button type="button" aria-pressed={band[0] > 0} onClick={() => { setBand([1, 1]); }}>lead leg</button>
            <button type="button" aria-pressed={band[0] < 0} onClick={() => { setBand([-1, -1]); }}>other leg</button>
          </fieldset>
        )}
        {band !== null && unit !== 'side' && (
          <>
            <AmountField label="From" unit={UNIT_WORDS[unit]} value={band[0]} min={-1000} max={10000} step={step} onAmount={(value) => { setBand([value, band[1]]); }} />
            <AmountField label="to" unit={UNIT_WORDS[unit]} value={band[1]} min={-1000} max={10000} step={step} onAmount={(value) => { setBand([band[0], value]); }} />
            <AmountField label="Near, up to" unit={UNIT_WORDS[unit]} value={after.softMargin} min={0} max={1000} step={step} hint="beyond the band" onAmount={(value) => { onEdit({ softMargin: value }); }} />
          </>
        )}
        {band !== null && (
          <fieldset className={analysis['segments']}>
            <legend>How important</legend>
            {[1, 2, 3, 4, 5].map((importance) => (
              <button key={importance} type="button" aria-pressed={after.importance === importance} aria-label={`Importance ${importance} of 5`} onClick={() => { onEdit({ importance }); }}>{importance}</button>
            ))}
          </fieldset>
        )}
      </div>
      {fault !== null && <p role="alert" className={analysis['wrong']}>{fault}</p>}
      {band !== null && unit !== 'side' && (
        <div className={styles['fields']}>
          <CueField label="Below, say" built={builtInCue(start, measure, 'below')} own={after.cueBelow ?? null} onCue={(cueBelow) => { onEdit({ cueBelow }); }} />
          <CueField label="Above, say" built={builtInCue(start, measure, 'above')} own={after.cueAbove ?? null} onCue={(cueAbove) => { onEdit({ cueAbove }); }} />
        </div>
      )}
      <p className={analysis['soft']}>
        {after.basis.tag === 'coach' ? `${capital(after.basis.text)}.` : `${DEFAULT_LABEL}. ${BASIS_NAMES[after.basis.tag]}: ${after.basis.text}`}
      </p>
      <div className={analysis['row']}>
        {band === null
          ? <button type="button" className={analysis['link']} onClick={() => { onEdit({ band: firstBand(values) }); }}>Judge this measure</button>
          : <button type="button" className={analysis['link']} onClick={() => { onEdit({ band: null }); }}>Show it, do not judge it</button>}
        <button type="button" className={analysis['link']} onClick={() => { setFault(null); onReset(); }}>Back to the default</button>
      </div>
      </div>}
    </section>
  );
}

function CueField({ label, built, own, onCue }: { readonly label: string; readonly built: string; readonly own: string | null; readonly onCue: (cue: string | null) => void }) {
  const id = useId();
  return (
    <span className={styles['cue']}>
      <label htmlFor={id}>{label}</label>
      <input
        id={id} type="text" maxLength={300} placeholder={built} value={own ?? ''}
        onChange={(event) => { onCue(event.target.value.trim() === '' ? null : event.target.value); }}
      />
    </span>
  );
}

/** A band to begin with where there was none: what the stored reps span, or 0 to 1. */
function firstBand(values: readonly number[]): readonly [number, number] {
  if (values.length === 0) return [0, 1];
  const round = (value: number) => Number(value.toFixed(2));
  return [round(Math.min(...values)), round(Math.max(...values))];
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
