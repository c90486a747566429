import type { AthleteLog, Rep } from '../athletelog/index.ts';
import { readClip } from '../reading/read-clip.ts';
import type { Analysis } from '../reading/reading.ts';
import { DEFAULT_PROFILE } from '../tolerances/index.ts';
import { INVENTED_ATHLETES } from './invented-athletes.ts';
import { INVENTED_SESSIONS, inventedSeason } from './invented-season.ts';
import { packedTrackSchema } from './schema.ts';
import { unpackAnalysis } from './unpack-track.ts';

/** The invented club with the tracks behind some of its reps. */
export interface InventedClub {
  readonly log: AthleteLog;
  readonly analyses: ReadonlyMap<string, Analysis>;
}

/** Reps of the last sessions that get real body lines of computer-drawn athletes: which athlete, which of their usual-start reps, and the track. */
const TRACKED: readonly { readonly athleteId: string; readonly place: 'first' | 'last'; readonly track: string; readonly isSwapped: boolean }[] = [
  { athleteId: 'invented-mika', place: 'first', track: 'two-step-run-short-lunge', isSwapped: true },
  { athleteId: 'invented-mika', place: 'last', track: 'two-step-run-good', isSwapped: false },
  { athleteId: 'invented-juno', place: 'first', track: 'power-hurdle-low-knee', isSwapped: true },
  { athleteId: 'invented-juno', place: 'last', track: 'power-hurdle-good', isSwapped: false },
];

/** The rep as it reads from a track, measured like any other, with the height of the athlete; start and lead leg are stated only where the track reads otherwise. */
export function withTrack(rep: Rep, analysis: Analysis, heightM: number): Rep {
  const known = { heightM, timeBase: { kind: 'known' as const } };
  const plain = readClip(analysis, known, DEFAULT_PROFILE);
  const isRead = plain.start.value === rep.start && plain.lead.value === rep.lead;
  const stated = isRead ? known : { ...known, start: rep.start, lead: rep.lead };
  const reading = isRead ? plain : readClip(analysis, stated, DEFAULT_PROFILE);
  return {
    ...rep,
    clip: { fileName: analysis.clip.fileName, timeBase: reading.timeBase, fps: analysis.clip.fps.median, model: analysis.track.model, engineVersion: analysis.engineVersion },
    moments: reading.moments,
    measures: reading.measures,
    stated,
  };
}

/** The season of the invented club up to a day. A track that cannot be loaded costs only its body lines. */
export async function loadInventedClub(today: string, loadText: (path: string) => Promise<string | null>): Promise<InventedClub> {
  const log = inventedSeason(today);
  const analyses = new Map<string, Analysis>();
  const changed = new Map<string, Rep>();
  for (const { athleteId, place, track, isSwapped } of TRACKED) {
    const athlete = INVENTED_ATHLETES.find((each) => each.id === athleteId);
    const reps = log.reps.filter((rep) => rep.athleteId === athleteId && rep.start === athlete?.usualStart);
    // The last session in which the athlete was there.
    const session = reps.at(-1)?.sessionId ?? `invented-session-${INVENTED_SESSIONS}`;
    const own = reps.filter((rep) => rep.sessionId === session);
    const rep = place === 'first' ? own[0] : own.at(-1);
    const text = await loadText(`demo/tracks/${track}.json`);
    if (rep === undefined || athlete === undefined || text === null) continue;
    const analysis = unpackAnalysis(packedTrackSchema.parse(JSON.parse(text)), isSwapped);
    analyses.set(rep.id, analysis);
    changed.set(rep.id, withTrack(rep, analysis, athlete.heightM[1]));
  }
  return { log: { ...log, reps: log.reps.map((rep) => changed.get(rep.id) ?? rep) }, analyses };
}
