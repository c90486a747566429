import { useEffect, useState } from 'react';
import { useLocation } from 'wouter';
import type { Athlete, Rep } from '../../athletelog/index.ts';
import { SURFACE_NAMES } from '../../athletelog/index.ts';
import { noCueWords, valueWithErrorText, WHY_WORDS } from '../../cues/index.ts';
import type { Measure } from '../../shapes/measure.ts';
import { START_NAMES } from '../../starts/start.ts';
import { profileThatJudged, storedFindings } from '../../state/stored-cue.ts';
import buttons from '../parts/buttons.module.css';
import { RepFields } from '../save/rep-fields.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { useSession } from '../session-context.ts';
import styles from './rep-list.module.css';

/** Reps as the coach sees them at the mat: number, who, the one thing to change, time to the hands, mark. A tap opens one. */
export function RepList({ reps, withNames, label }: { readonly reps: readonly Rep[]; readonly withNames: boolean; readonly label: string }) {
  const athletes = useRecords((state) => state.log.athletes);
  const [openId, setOpenId] = useState<string | null>(null);
  return (
    <ol className={styles['list']} aria-label={label}>
      {reps.map((rep) => (
        <li key={rep.id} className={styles['item']}>
          <RepRow
            rep={rep}
            athlete={withNames ? (athletes.find((each) => each.id === rep.athleteId) ?? null) : null}
            isOpen={openId === rep.id}
            onToggle={() => { setOpenId(openId === rep.id ? null : rep.id); }}
          />
          {openId === rep.id && <RepDetails rep={rep} />}
        </li>
      ))}
    </ol>
  );
}

function RepRow({ rep, athlete, isOpen, onToggle }: { readonly rep: Rep; readonly athlete: Athlete | null; readonly isOpen: boolean; readonly onToggle: () => void }) {
  const records = useRecordsActions();
  const profiles = useRecords((state) => state.profiles);
  const profile = profileThatJudged(profiles, rep.judgedBy) ?? records.profileFor(rep.athleteId);
  const { findings, cues } = storedFindings(rep, profile);
  const words = rep.clip === null ? 'By hand, no clip' : (cues[0]?.text ?? noCueWords(findings));
  return (
    <button type="button" className={styles['row']} aria-expanded={isOpen} onClick={onToggle}>
      <span className={styles['number']}>{rep.number}</span>
      <Thumbnail repId={rep.id} />
      <span className={styles['who']}>
        {athlete !== null && <strong>{athlete.name}</strong>}
        <span>{START_NAMES[rep.start]}</span>
      </span>
      <span className={styles['cue']}>{words}</span>
      <Figure name="Hands" measure={rep.measures['time.toHands']} />
      <Figure name="Mark" measure={rep.measures['mark.toHands']} />
      <span className={styles['signs']}>
        {rep.isStarred && <span className={styles['star']}>★<span className="visually-hidden"> starred</span></span>}
        {rep.hasPain && <span className={styles['pain']}>pain</span>}
        {rep.fitted === false && <span className={styles['misfit']}>did not fit</span>}
      </span>
    </button>
  );
}

/** One figure with its name under it; a dash with the reason read aloud when it was not measured. */
function Figure({ name, measure }: { readonly name: string; readonly measure: Measure | undefined }) {
  const reason = measure === undefined ? 'not taken' : measure.measured ? null : WHY_WORDS[measure.why].short;
  return (
    <span className={styles['figure']}>
      <span className={styles['value']}>
        {measure?.measured === true ? measure.value.toFixed(2) : '–'}
        {measure?.measured === true && <small> {measure.unit}</small>}
      </span>
      <span className={styles['name']}>{name}{reason !== null && <span className={styles['reason']}>, {reason}</span>}</span>
    </span>
  );
}

/** The stored still of a rep; an empty place when there is none. */
function Thumbnail({ repId }: { readonly repId: string }) {
  const records = useRecordsActions();
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    let made: string | null = null;
    let isGone = false;
    void records.thumbnailOf(repId).then((picture) => {
      if (picture === null || isGone) return;
      made = URL.createObjectURL(picture);
      setUrl(made);
    });
    return () => {
      isGone = true;
      if (made !== null) URL.revokeObjectURL(made);
    };
  }, [records, repId]);
  return <span className={styles['thumb']}>{url !== null && <img src={url} alt="" />}</span>;
}

function RepDetails({ rep }: { readonly rep: Rep }) {
  const session = useSession();
  const records = useRecordsActions();
  const [, go] = useLocation();
  const passes = useRecords((state) => state.log.reps).map((each) => each.pass);
  const isTracked = useRecords((state) => state.keptTracks.has(rep.id));
  const isKept = useRecords((state) => state.keptClips.has(rep.id));
  const athlete = useRecords((state) => state.log.athletes.find((each) => each.id === rep.athleteId));
  const open = async () => {
    const [analysis, file] = await Promise.all([records.analysisOf(rep.id), records.clipFileOf(rep.id)]);
    if (analysis === null) return;
    session.openStored({
      saved: { repId: rep.id, athleteId: rep.athleteId },
      title: `${athlete?.name ?? ''}, rep ${rep.number}`,
      isDemo: athlete?.isInvented ?? false,
      file, analysis, stated: rep.stated,
    });
    go('/');
  };
  const facts = Object.entries(rep.measures).flatMap(([id, measure]) =>
    measure.measured && (id === 'time.toHands' || id === 'mark.toHands' || id === 'launch.hipSpeed') ? [{ id, text: valueWithErrorText(measure.value, measure.ci95, measure.unit) }] : []);
  return (
    <div className={styles['details']}>
      {facts.length > 0 && (
        <p className={styles['facts']}>
          {facts.map(({ id, text }) => (
            <span key={id}>{FACT_NAMES[id]} {text}</span>
          ))}
        </p>
      )}
      <p className={styles['ways']}>
        {isTracked && <button type="button" className={buttons['tape']} onClick={() => { void open(); }}>{isKept ? 'Show it with its clip' : 'Show its body lines'}</button>}
        {isKept && <button type="button" className={buttons['quiet']} onClick={() => { void records.dropClip(rep.id); }}>Remove the clip only</button>}
        <button type="button" className={`${buttons['quiet'] ?? ''} ${styles['delete'] ?? ''}`} onClick={() => { void records.remove({ what: 'rep', id: rep.id }); }}>Delete this rep</button>
      </p>
      <RepFields said={rep} passes={[...new Set(passes)].filter((pass) => pass !== '').slice(0, 30)} onChange={(part) => { void records.changeRep(rep.id, (now) => ({ ...now, ...part })); }} />
    </div>
  );
}

const FACT_NAMES: Readonly<Record<string, string>> = { 'time.toHands': 'First movement to hands', 'mark.toHands': 'Mark to hands', 'launch.hipSpeed': 'Hip speed at launch' };

/** Surfaces in words, "not said" when none is. */
export function surfaceWords(surfaces: Rep['surfaces']): string {
  return surfaces.length === 0 ? 'surface not said' : surfaces.map((surface) => SURFACE_NAMES[surface]).join(', ');
}
