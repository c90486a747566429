import { useEffect, useState } from 'react';
import { useLocation } from 'wouter';
import type { Athlete, Rep } from '../../athletelog/index.ts';
import { SURFACE_NAMES } from '../../athletelog/index.ts';
import type { Finding } from '../../checker/index.ts';
import { valueWithErrorText, WHY_WORDS } from '../../cues/index.ts';
import type { PoseTrack } from '../../pose/pose-track.ts';
import type { Measure } from '../../shapes/measure.ts';
import { START_NAMES } from '../../starts/start.ts';
import { profileThatJudged, storedFindings } from '../../state/stored-cue.ts';
import buttons from '../parts/buttons.module.css';
import { InventedMark } from '../parts/invented.tsx';
import { BodyLine } from './body-line.tsx';
import { RepFields } from '../save/rep-fields.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { useSession } from '../session-context.ts';
import styles from './rep-list.module.css';

/** Reps as the coach sees them at the mat: number, who, the one thing to change, time to the hands, mark. A tap opens one. */
export function RepList({ reps, withNames, label }: { readonly reps: readonly Rep[]; readonly withNames: boolean; readonly label: string }) {
  const athletes = useRecords((state) => state.log.athletes);
  const keptTracks = useRecords((state) => state.keptTracks);
  const withPictures = reps.some((rep) => keptTracks.has(rep.id));
  const [openId, setOpenId] = useState<string | null>(null);
  return (
    <ol className={styles['list']} aria-label={label}>
      {reps.map((rep) => (
        <li key={rep.id} className={styles['item']}>
          <RepRow
            rep={rep}
            athlete={withNames ? (athletes.find((each) => each.id === rep.athleteId) ?? null) : null}
            withPictures={withPictures}
            isOpen={openId === rep.id}
            onToggle={() => { setOpenId(openId === rep.id ? null : rep.id); }}
          />
          {openId === rep.id && <RepDetails rep={rep} />}
        </li>
      ))}
    </ol>
  );
}

function RepRow({ rep, athlete, withPictures, isOpen, onToggle }: { readonly rep: Rep; readonly athlete: Athlete | null; readonly withPictures: boolean; readonly isOpen: boolean; readonly onToggle: () => void }) {
  const records = useRecordsActions();
  const profiles = useRecords((state) => state.profiles);
  const profile = profileThatJudged(profiles, rep.judgedBy) ?? records.profileFor(rep.athleteId);
  const { findings, cues } = storedFindings(rep, profile);
  const lead = cues[0]?.text ?? null;
  return (
    <button type="button" className={withPictures ? styles['row'] : `${styles['row'] ?? ''} ${styles['plain'] ?? ''}`} aria-expanded={isOpen} onClick={onToggle}>
      <span className={styles['number']}>{rep.number}</span>
      {withPictures && <Thumbnail rep={rep} />}
      <span className={styles['who']}>
        {athlete !== null && <strong>{athlete.name}</strong>}
        <span>{START_NAMES[rep.start]}{rep.isInvented === true && <InventedMark />}</span>
      </span>
      {lead === null ? <span className={styles['still']}>{rep.clip === null ? 'By hand, no clip' : quietWords(findings)}</span> : <span className={styles['cue']}>{lead}</span>}
      <Figure name="To hands" place="hands" measure={rep.measures['time.toHands']} />
      <Figure name="Mark" place="mark" measure={rep.measures['mark.toHands']} />
      <span className={styles['signs']}>
        {rep.isStarred && <span className={styles['star']}>★<span className="visually-hidden"> starred</span></span>}
        {rep.hasPain && <span className={styles['pain']}>pain</span>}
        {rep.fitted === false && <span className={styles['misfit']}>did not fit</span>}
      </span>
    </button>
  );
}

/** What a rep without a cue says, shorter than on its own screen. */
function quietWords(findings: readonly Finding[]): string {
  const has = (verdict: Finding['verdict']) => findings.some((finding) => finding.verdict === verdict);
  if (has('too-close')) return 'Nothing surely off target';
  return has('in-band') ? 'All that was measured is on target' : 'Nothing could be scored';
}

/** One figure with its name under it; a dash with the reason read aloud when it was not measured. */
function Figure({ name, place, measure }: { readonly name: string; readonly place: 'hands' | 'mark'; readonly measure: Measure | undefined }) {
  const reason = measure === undefined ? 'not taken' : measure.measured ? null : WHY_WORDS[measure.why].short;
  return (
    <span className={`${styles['figure'] ?? ''} ${styles[place] ?? ''}`}>
      <span className={styles['value']}>
        {measure?.measured === true ? measure.value.toFixed(2) : '–'}
        {measure?.measured === true && <small> {measure.unit}</small>}
      </span>
      <span className={styles['name']}>{name}{reason !== null && <span className={styles['reason']}>, {reason}</span>}</span>
    </span>
  );
}

/** The stored still of a rep, or its body line at the plant; an empty place when there is neither. */
function Thumbnail({ rep }: { readonly rep: Rep }) {
  const records = useRecordsActions();
  const isTracked = useRecords((state) => state.keptTracks.has(rep.id));
  const [url, setUrl] = useState<string | null>(null);
  const [track, setTrack] = useState<PoseTrack | null>(null);
  useEffect(() => {
    let made: string | null = null;
    let isGone = false;
    if (!isTracked) return;
    const load = async () => {
      const picture = await records.thumbnailOf(rep.id);
      const stored = picture === null ? await records.analysisOf(rep.id) : null;
      if (isGone) return;
      if (picture !== null) {
        made = URL.createObjectURL(picture);
        setUrl(made);
      } else setTrack(stored?.track ?? null);
    };
    void load();
    return () => {
      isGone = true;
      if (made !== null) URL.revokeObjectURL(made);
    };
  }, [records, rep.id, isTracked]);
  const plant = rep.moments?.plant;
  return (
    <span className={styles['thumb']}>
      {url !== null && <img src={url} alt="" />}
      {url === null && track !== null && plant?.found === true && <BodyLine track={track} t={plant.t} lead={rep.lead} />}
    </span>
  );
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
      isDemo: rep.isInvented === true || athlete?.isInvented === true,
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
