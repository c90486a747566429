import { useEffect, useMemo, useState } from 'react';
import { Link, useLocation, useParams } from 'wouter';
import analysis from '../analysis/analysis.module.css';
import buttons from '../parts/buttons.module.css';
import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import { START_NAMES } from '../../starts/start.ts';
import { dayText } from '../analysis/amounts.ts';
import { Empty } from '../analysis/empty.tsx';
import { Pick } from '../analysis/pick.tsx';
import { useReadings } from '../analysis/use-readings.ts';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { SideBySide, type SideRep } from './side-by-side.tsx';

/** Two stored reps side by side: of one athlete, or of an athlete and a chosen model. */
export function SideScreen() {
  const { first: firstWanted, second: secondWanted } = useParams<{ readonly first?: string; readonly second?: string }>();
  const [, go] = useLocation();
  const log = useRecords((state) => state.log);
  const kept = useRecords((state) => state.keptTracks);
  const remembered = useRecords((state) => state.remembered.athleteId);
  const reps = useMemo(() => newestFirst(log).filter((rep) => kept.has(rep.id)), [log, kept]);
  const own = reps.filter((rep) => rep.athleteId === remembered);
  const fallback = own.length >= 2 ? own : reps;
  const second = reps.find((rep) => rep.id === secondWanted) ?? fallback[0];
  const first = reps.find((rep) => rep.id === firstWanted) ?? fallback.find((rep) => rep !== second && rep.start === second?.start) ?? fallback.find((rep) => rep !== second);
  const chosen = useMemo(() => [first, second].filter((rep) => rep !== undefined), [first, second]);
  const readings = useReadings(chosen);
  const urls = useClipUrls(chosen);
  if (first === undefined || second === undefined) {
    return (
      <Empty
        title="Two measured reps can stand side by side"
        todo="Save two reps from clips. Their measurement stays on this device, so they can be drawn next to each other even when no clip is kept."
        action={<Link href="/" className={buttons['tape'] ?? ''}>Open a clip</Link>}
      />
    );
  }
  const choose = (a: string, b: string) => { go(`/compare/side/${encodeURIComponent(a)}/${encodeURIComponent(b)}`); };
  const options = reps.map((rep) => ({ value: rep.id, word: repWords(log, rep) }));
  const sideOf = (rep: Rep, other: Rep): SideRep | null => {
    const reading = readings.get(rep.id);
    return reading === undefined ? null : { title: shortWords(log, rep, other), reading, clipUrl: urls.get(rep.id) ?? null };
  };
  const [a, b] = [sideOf(first, second), sideOf(second, first)];
  return (
    <div className={analysis['framed']}>
      <div className={analysis['who']}>
        <Pick label="First" value={first.id} options={options} onPick={(id) => { choose(id, second.id); }} />
        <Pick label="Second" value={second.id} options={options} onPick={(id) => { choose(first.id, id); }} />
      </div>
      {a === null || b === null
        ? <p className={analysis['loading']} role="status">Reading both reps</p>
        : <SideBySide key={`${first.id} ${second.id}`} first={a} second={b} onBack={() => { go('/compare'); }} />}
    </div>
  );
}

function newestFirst(log: AthleteLog): readonly Rep[] {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const key = (rep: Rep): string => `${dates.get(rep.sessionId) ?? ''} ${String(rep.number).padStart(6, '0')}`;
  return log.reps.toSorted((a, b) => key(b).localeCompare(key(a)));
}

/** A rep as the choice lists it; a star marks reps that the coach keeps as models. */
function repWords(log: AthleteLog, rep: Rep): string {
  const name = log.athletes.find((athlete) => athlete.id === rep.athleteId)?.name ?? '';
  const date = log.sessions.find((session) => session.id === rep.sessionId)?.date;
  return `${rep.isStarred ? '★ ' : ''}${name}, ${START_NAMES[rep.start].toLowerCase()}, ${date === undefined ? '' : dayText(date)}, rep ${rep.number}`;
}

/** A rep as a heading: only what tells it from the other. */
function shortWords(log: AthleteLog, rep: Rep, other: Rep): string {
  const name = log.athletes.find((athlete) => athlete.id === rep.athleteId)?.name ?? '';
  const date = log.sessions.find((session) => session.id === rep.sessionId)?.date;
  return [rep.athleteId === other.athleteId ? '' : name, rep.sessionId === other.sessionId || date === undefined ? '' : dayText(date), `Rep ${rep.number}`].filter((part) => part !== '').join(', ');
}

/** Object URLs of the kept clips of some reps; revoked when they are no longer shown. */
function useClipUrls(reps: readonly Rep[]): ReadonlyMap<string, string> {
  const records = useRecordsActions();
  const kept = useRecords((state) => state.keptClips);
  const [urls, setUrls] = useState<ReadonlyMap<string, string>>(new Map());
  useEffect(() => {
    let isGone = false;
    const made: string[] = [];
    const load = async () => {
      const next = new Map<string, string>();
      for (const rep of reps) {
        const file = kept.has(rep.id) ? await records.clipFileOf(rep.id) : null;
        if (isGone) return;
        if (file === null) continue;
        const url = URL.createObjectURL(file);
        made.push(url);
        next.set(rep.id, url);
      }
      setUrls(next);
    };
    void load();
    return () => {
      isGone = true;
      for (const url of made) URL.revokeObjectURL(url);
    };
  }, [records, kept, reps]);
  return urls;
}
