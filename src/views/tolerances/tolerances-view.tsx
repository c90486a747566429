import { useId, useState } from 'react';
import styles from './tolerances.module.css';
import analysis from '../analysis/analysis.module.css';
import buttons from '../parts/buttons.module.css';
import { repsOf, type AthleteLog } from '../../athletelog/index.ts';
import { MEASURE_NAMES, problemWords, VERDICT_WORDS } from '../../cues/index.ts';
import { fileName, type Assignment } from '../../export/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import {
  changedTolerances, DEFAULT_PROFILE, editTolerance, isComplete, measuresOf, newOverride, readToleranceFile, resetTolerance, toleranceOf, writeToleranceFile,
  type Profile, type ToleranceEdit,
} from '../../tolerances/index.ts';
import type { Problem } from '../../units/outcome.ts';
import { dayText } from '../analysis/amounts.ts';
import { Pick } from '../analysis/pick.tsx';
import { Tape } from '../analysis/tape.tsx';
import { WideBox } from '../analysis/wide-box.tsx';
import { VerdictMark, verdictClass } from '../parts/verdict-mark.tsx';
import { asOpened, newestOfEach, startDraft, withNextRevision } from './drafts.ts';
import { MeasureEditor } from './measure-editor.tsx';
import { judgedReps, judging, preview, repsToSee, type ChangedVerdict, type Preview } from './preview.ts';
import { takenFiles } from '../parts/taken-files.ts';

interface TolerancesViewProps {
  readonly log: AthleteLog;
  /** Every stored revision of every profile of the coach. */
  readonly profiles: readonly Profile[];
  /** Id of the profile in use, null for the built-in one. */
  readonly profileInUse: string | null;
  readonly assignments: readonly Assignment[];
  readonly newId: () => string;
  readonly onSave: (profile: Profile) => void;
  readonly onUse: (id: string | null) => void;
  readonly onAssign: (assignments: readonly Assignment[]) => void;
  /** Hands a file to the user. */
  readonly onFile: (name: string, text: string) => void;
}

/** How many changed verdicts the list shows before it says "and more". */
const LISTED = 20;

/** How many reps are drawn over the bands, the newest; more would hide each other. */
const DRAWN = 60;

/** The coach's own tolerances: bands drawn over the stored reps, what an edit would change, versions, who they hold for, files out and in. */
export function TolerancesView({ log, profiles, profileInUse, assignments, newId, onSave, onUse, onAssign, onFile }: TolerancesViewProps) {
  const stored = [DEFAULT_PROFILE, ...newestOfEach(profiles)];
  const [chosenId, setChosen] = useState<string>(profileInUse ?? DEFAULT_PROFILE.id);
  const [draft, setDraft] = useState<Profile | null>(null);
  const [start, setStart] = useState<StartId>(repsOf(log, {}).at(-1)?.start ?? 'two-step-run');
  const [problem, setProblem] = useState<Problem | null>(null);
  const saved = stored.find((profile) => profile.id === chosenId) ?? DEFAULT_PROFILE;
  const base = stored.find((profile) => profile.id === profileInUse) ?? DEFAULT_PROFILE;
  const isOverride = !isComplete(saved);
  const editing = draft ?? saved;
  const inForce = judging(isOverride ? base : saved, saved);
  const would = judging(isOverride ? base : editing, editing);
  const holdsFor = isOverride ? peopleOf(log, assignments, saved.id) : null;
  const seen = preview(log, start, inForce, would, holdsFor);
  const reps = repsToSee(log, start, holdsFor);
  const drawn = reps.slice(0, DRAWN);
  const judged = judgedReps(drawn, would);
  const isDirty = draft !== null;

  const edit = (measure: MeasureId, change: ToleranceEdit) => {
    const from = draft ?? startDraft(saved, newId);
    setDraft(editTolerance(from, start, measure, change, isOverride ? base : DEFAULT_PROFILE));
  };
  const reset = (measure: MeasureId) => { setDraft(resetTolerance(draft ?? startDraft(saved, newId), start, measure)); };
  const save = () => {
    if (draft === null) return;
    const next = withNextRevision({ ...draft, name: draft.name.trim() === '' ? 'My tolerances' : draft.name.trim() }, profiles);
    onSave(next);
    if (saved.id === DEFAULT_PROFILE.id && profileInUse === null) onUse(next.id);
    setChosen(next.id);
    setDraft(null);
  };
  const addOverride = () => {
    const next = newOverride(base, newId(), 'For some athletes');
    onSave(next);
    setChosen(next.id);
    setDraft(null);
  };
  const open = async (file: File) => {
    const read = readToleranceFile(await file.text(), file.name);
    if (!read.ok) {
      setProblem(read.problem);
      return;
    }
    setProblem(null);
    const next = asOpened(read.value, profiles, newId);
    onSave(next);
    setChosen(next.id);
    setDraft(null);
  };
  const versions = profiles.filter((profile) => profile.id === saved.id).toSorted((a, b) => b.revision - a.revision);
  return (
    <div className={analysis['screen']}>
      <Tape
        label="What would change"
        say={!isDirty ? `Bands of “${saved.name}”${saved.id === DEFAULT_PROFILE.id ? '' : `, version ${saved.revision}`}.` : changeSentence(seen)}
        figure={isDirty ? null : saved.id === (profileInUse ?? DEFAULT_PROFILE.id) ? 'In use for everyone. Change a band, and this strip says what would change on the stored reps.' : isOverride ? holdsForWords(log, assignments, saved.id) : 'Not in use. Stored reps are judged by another profile.'}
      >
        {isDirty && (
          <p className={analysis['row']}>
            <button type="button" className={styles['onTape']} onClick={save}>Save as version {withNextRevision(editing, profiles).revision}</button>
            <button type="button" className={analysis['link']} onClick={() => { setDraft(null); }}>Throw the changes away</button>
          </p>
        )}
      </Tape>
      <div className={analysis['carpet']}>
        <div className={analysis['picks']}>
          <Pick
            label="Profile" value={saved.id} options={stored.map((profile) => ({ value: profile.id, word: `${profile.name}${profile.id === (profileInUse ?? DEFAULT_PROFILE.id) ? ' (in use)' : isComplete(profile) ? '' : ' (for some)'}` }))}
            onPick={(id) => {
              setChosen(id);
              setDraft(null);
            }}
          />
          <Pick label="Start" value={start} options={START_IDS.map((id) => ({ value: id, word: START_NAMES[id] }))} onPick={setStart} />
          <button type="button" className={buttons['quiet']} onClick={addOverride}>New, for some athletes</button>
          {!isOverride && saved.id !== (profileInUse ?? DEFAULT_PROFILE.id) && (
            <button type="button" className={buttons['quiet']} onClick={() => { onUse(saved.id === DEFAULT_PROFILE.id ? null : saved.id); }}>Use for everyone</button>
          )}
        </div>
      </div>
      <div className={analysis['body']}>
        {editing.id !== DEFAULT_PROFILE.id && <NameField key={editing.id} name={editing.name} onName={(name) => { setDraft({ ...(draft ?? saved), name }); }} />}
        {isOverride && <People log={log} assignments={assignments} profileId={saved.id} onAssign={onAssign} />}
        <section aria-label={`Bands, ${START_NAMES[start]}`}>
          <h2>{START_NAMES[start]}</h2>
          <p className={analysis['soft']}>
            {reps.length === 0
              ? 'No stored rep of this start yet: bands can be set, and the preview fills as reps are saved.'
              : `${drawn.length < reps.length ? `The newest ${drawn.length} of ${reps.length} stored reps` : `${reps.length} stored ${reps.length === 1 ? 'rep' : 'reps'}`} drawn: full = on target, ring = near, diamond = too close to call, wedge = off target. Dashed frame: the band before the edit.`}
          </p>
          {measuresOf(start).map((measure) => {
            const after = toleranceOf(would, start, measure);
            if (after === null) return null;
            return (
              <MeasureEditor
                key={`${saved.id} ${start} ${measure}`} start={start} measure={measure} before={toleranceOf(inForce, start, measure)} after={after}
                isOwn={isOverride && toleranceOf(editing, start, measure) !== null} values={judged.get(measure)?.values ?? []} findings={judged.get(measure)?.findings ?? []}
                changed={seen.changed.filter((each) => each.measure === measure).length}
                onEdit={(change) => { edit(measure, change); }} onReset={() => { reset(measure); }}
              />
            );
          })}
        </section>
        {seen.changed.length > 0 && <Changes log={log} changed={seen.changed} profiles={stored} />}
        <Files profile={saved} problem={problem} onFile={onFile} onOpen={(file) => { void open(file); }} />
        {versions.length > 0 && <Versions versions={versions} base={isOverride ? base : DEFAULT_PROFILE} onBack={(version) => { setDraft(version); }} />}
      </div>
    </div>
  );
}

function changeSentence(seen: Preview): string {
  if (seen.reps === 0) return 'Changed. There are no stored reps of this start to show it on.';
  if (seen.changed.length === 0) return `Changed. No verdict on the ${seen.reps} stored reps would be another.`;
  const reps = new Set(seen.changed.map((each) => each.rep.id)).size;
  return `${seen.changed.length} of ${seen.verdicts} verdicts would change, on ${reps} of ${seen.reps} reps.`;
}

/** The athletes for whom an override holds, by themselves or by a group. */
function peopleOf(log: AthleteLog, assignments: readonly Assignment[], profileId: string): readonly string[] {
  const one = assignments.find((each) => each.profileId === profileId);
  return one === undefined ? [] : log.athletes.filter((athlete) => one.athleteIds.includes(athlete.id) || athlete.groups.some((group) => one.groups.includes(group))).map((athlete) => athlete.id);
}

function holdsForWords(log: AthleteLog, assignments: readonly Assignment[], profileId: string): string {
  const one = assignments.find((each) => each.profileId === profileId);
  const names = [...(one?.groups ?? []), ...log.athletes.filter((athlete) => one?.athleteIds.includes(athlete.id) === true).map((athlete) => athlete.name)];
  return names.length === 0 ? 'Holds for nobody yet: choose athletes or groups below.' : `Lies on top of the profile in use for ${names.join(', ')}.`;
}

function NameField({ name, onName }: { readonly name: string; readonly onName: (name: string) => void }) {
  const id = useId();
  return (
    <span className={styles['cue']}>
      <label htmlFor={id}>Name of the profile</label>
      <input id={id} type="text" maxLength={100} value={name} onChange={(event) => { onName(event.target.value); }} />
    </span>
  );
}

function People({ log, assignments, profileId, onAssign }: { readonly log: AthleteLog; readonly assignments: readonly Assignment[]; readonly profileId: string; readonly onAssign: (assignments: readonly Assignment[]) => void }) {
  const one = assignments.find((each) => each.profileId === profileId) ?? { profileId, athleteIds: [], groups: [] };
  const groups = [...new Set(log.athletes.flatMap((athlete) => athlete.groups))].sort();
  const put = (next: Assignment) => { onAssign([...assignments.filter((each) => each.profileId !== profileId), next]); };
  const toggled = (list: readonly string[], item: string) => (list.includes(item) ? list.filter((each) => each !== item) : [...list, item]);
  return (
    <fieldset className={styles['people']}>
      <legend>Holds for</legend>
      {groups.map((group) => (
        <label key={`group ${group}`}><input type="checkbox" checked={one.groups.includes(group)} onChange={() => { put({ ...one, groups: toggled(one.groups, group) }); }} />{group} (group)</label>
      ))}
      {log.athletes.map((athlete) => (
        <label key={athlete.id}><input type="checkbox" checked={one.athleteIds.includes(athlete.id)} onChange={() => { put({ ...one, athleteIds: toggled(one.athleteIds, athlete.id) }); }} />{athlete.name}</label>
      ))}
      {log.athletes.length === 0 && <p>Add an athlete first.</p>}
    </fieldset>
  );
}

function Changes({ log, changed, profiles }: { readonly log: AthleteLog; readonly changed: readonly ChangedVerdict[]; readonly profiles: readonly Profile[] }) {
  const name = (id: string) => log.athletes.find((athlete) => athlete.id === id)?.name ?? '';
  const date = (id: string) => log.sessions.find((session) => session.id === id)?.date;
  const judged = (judgedBy: { readonly id: string; readonly revision: number } | null) =>
    judgedBy === null ? 'not judged' : `${profiles.find((profile) => profile.id === judgedBy.id)?.name ?? judgedBy.id}, version ${judgedBy.revision}`;
  return (
    <section aria-label="Reps that would change">
      <h2>What would change</h2>
      <WideBox label="Verdicts now and then">
        <table className={analysis['table']}>
          <thead><tr><th scope="col">Rep</th><th scope="col">Measure</th><th scope="col">Now, then</th><th scope="col" className={styles['day']}>On its day judged by</th></tr></thead>
          <tbody>
            {changed.slice(0, LISTED).map((each) => {
              const day = date(each.rep.sessionId);
              return (
                <tr key={`${each.rep.id} ${each.measure}`}>
                  <th scope="row">{name(each.rep.athleteId)}, {day === undefined ? '' : dayText(day)}, rep {each.rep.number}</th>
                  <td>{MEASURE_NAMES[each.measure]}</td>
                  <td className={styles['turn']}><VerdictCell of={each.before} /> <span className={styles['arrow']} aria-hidden="true">→</span> <VerdictCell of={each.after} /></td>
                  <td className={styles['day']}>{judged(each.rep.judgedBy)}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </WideBox>
      {changed.length > LISTED && <p className={analysis['soft']}>And {changed.length - LISTED} more.</p>}
      <p className={analysis['soft']}>Reps keep the name and version of the profile that judged them on their day. Seen again, they are held against the profile in force today.</p>
    </section>
  );
}

function VerdictCell({ of }: { readonly of: ChangedVerdict['before'] }) {
  if (of === null) return <>not judged</>;
  return (
    <span className={`${styles['verdict'] ?? ''} ${verdictClass(of.verdict)}`}>
      <VerdictMark verdict={of.verdict} side={of.side} /> {VERDICT_WORDS[of.verdict]}{of.side !== null && (of.verdict === 'near' || of.verdict === 'out') ? `, ${of.side}` : ''}
    </span>
  );
}

function Files({ profile, problem, onFile, onOpen }: { readonly profile: Profile; readonly problem: Problem | null; readonly onFile: (name: string, text: string) => void; readonly onOpen: (file: File) => void }) {
  const id = useId();
  const words = problem === null ? null : problemWords(problem);
  return (
    <section aria-label="Files">
      <h2>As a file</h2>
      <p className={analysis['soft']}>A tolerance file holds bands and cues, nothing about athletes: hand it to another coach, or keep it.</p>
      <div className={analysis['row']}>
        <button type="button" className={buttons['quiet']} onClick={() => { onFile(fileName(['tolerances', profile.name, `v${profile.revision}`], 'json'), writeToleranceFile(profile)); }}>Write “{profile.name}” to a file</button>
        <span className={styles['file']}>
          <label htmlFor={id} className={buttons['quiet']}>Open a tolerance file</label>
          <input
            id={id} type="file" className="visually-hidden" accept=".json,application/json"
            onChange={(event) => {
              const [file] = takenFiles(event.target);
              if (file !== undefined) onOpen(file);
            }}
          />
        </span>
      </div>
      {words !== null && <p role="alert" className={analysis['wrong']}>{words.title}. {problem?.kind === 'unreadable-file' ? 'It is no tolerance file. Nothing was changed.' : `${words.text} Nothing was changed.`}</p>}
    </section>
  );
}

function Versions({ versions, base, onBack }: { readonly versions: readonly Profile[]; readonly base: Profile; readonly onBack: (version: Profile) => void }) {
  return (
    <details className={analysis['behind']}>
      <summary>Versions ({versions.length})</summary>
      <ol className={styles['versions']}>
        {versions.map((version, i) => {
          const before = versions[i + 1] ?? null;
          const changes = changedTolerances(before ?? (isComplete(version) ? base : { ...version, tolerances: {} }), version);
          const names = changes.slice(0, 6).map((change) => `${MEASURE_NAMES[change.measure].toLowerCase()} (${START_NAMES[change.start].toLowerCase()})`);
          return (
            <li key={version.revision}>
              <b>Version {version.revision}, “{version.name}”</b>
              <span>{changes.length === 0 ? 'no band changed' : `${names.join(', ')}${changes.length > 6 ? ` and ${changes.length - 6} more` : ''}`}{before === null && isComplete(version) ? ', against the default' : ''}</span>
              {i > 0 && <button type="button" className={analysis['link']} onClick={() => { onBack(version); }}>Start again from version {version.revision}</button>}
            </li>
          );
        })}
      </ol>
    </details>
  );
}
