import { lazy, type ComponentType } from 'react';
import { ClipScreen } from './clip-screen.tsx';
import { CHECK_VIEW_PATH } from './pre-check/check-view-path.ts';

/** The screens beside the clip come in their own files: a coach at the mat waits only for the clip screen. */
const LOADS = {
  AthleteScreen: () => import('./athletes/athlete-screen.tsx').then((file) => file.AthleteScreen),
  AthletesScreen: () => import('./athletes/athletes-screen.tsx').then((file) => file.AthletesScreen),
  CompareScreen: () => import('./compare/compare-screen.tsx').then((file) => file.CompareScreen),
  SideScreen: () => import('./compare/side-screen.tsx').then((file) => file.SideScreen),
  LadderScreen: () => import('./ladder/ladder-screen.tsx').then((file) => file.LadderScreen),
  MarksScreen: () => import('./marks/marks-screen.tsx').then((file) => file.MarksScreen),
  AdviceScreen: () => import('./session-advice/advice-screen.tsx').then((file) => file.AdviceScreen),
  BackupScreen: () => import('./sessions/backup-screen.tsx').then((file) => file.BackupScreen),
  HandRepScreen: () => import('./sessions/hand-rep-screen.tsx').then((file) => file.HandRepScreen),
  PreCheckScreen: () => import('./pre-check/pre-check-screen.tsx').then((file) => file.PreCheckScreen),
  SessionScreen: () => import('./sessions/session-screen.tsx').then((file) => file.SessionScreen),
  SessionsScreen: () => import('./sessions/sessions-screen.tsx').then((file) => file.SessionsScreen),
  TolerancesScreen: () => import('./tolerances/tolerances-screen.tsx').then((file) => file.TolerancesScreen),
  TrendsScreen: () => import('./trends/trends-screen.tsx').then((file) => file.TrendsScreen),
} satisfies Readonly<Record<string, () => Promise<ComponentType>>>;

const later = (name: keyof typeof LOADS) => lazy(async () => ({ default: await LOADS[name]() }));

const AthleteScreen = later('AthleteScreen');
const AthletesScreen = later('AthletesScreen');
const CompareScreen = later('CompareScreen');
const SideScreen = later('SideScreen');
const LadderScreen = later('LadderScreen');
const MarksScreen = later('MarksScreen');
const AdviceScreen = later('AdviceScreen');
const BackupScreen = later('BackupScreen');
const HandRepScreen = later('HandRepScreen');
const PreCheckScreen = later('PreCheckScreen');
const SessionScreen = later('SessionScreen');
const SessionsScreen = later('SessionsScreen');
const TolerancesScreen = later('TolerancesScreen');
const TrendsScreen = later('TrendsScreen');

/** Fetches the files of all screens, so that none has to be waited for, or is missing without a network. */
export async function fetchScreens(): Promise<void> {
  await Promise.all(Object.values(LOADS).map((load) => load()));
}

/** One screen: its address after the #, its word in the line of screens (null = reached from another screen), and what it shows. */
export interface ScreenRow {
  readonly path: string;
  readonly word: string | null;
  readonly Screen: ComponentType;
}

/** Every screen of the app, in the order of the line. Addresses are patterns of wouter; the first match is shown. */
export const SCREENS: readonly ScreenRow[] = [
  { path: '/', word: 'Clip', Screen: ClipScreen },
  { path: CHECK_VIEW_PATH, word: null, Screen: PreCheckScreen },
  { path: '/sessions', word: 'Sessions', Screen: SessionsScreen },
  { path: '/sessions/:id', word: null, Screen: SessionScreen },
  { path: '/sessions/:id/by-hand', word: null, Screen: HandRepScreen },
  { path: '/athletes', word: 'Athletes', Screen: AthletesScreen },
  { path: '/athletes/:id', word: null, Screen: AthleteScreen },
  { path: '/compare', word: 'Faster?', Screen: CompareScreen },
  { path: '/compare/of/:athleteId', word: null, Screen: CompareScreen },
  { path: '/compare/side', word: null, Screen: SideScreen },
  { path: '/compare/side/:first/:second', word: null, Screen: SideScreen },
  { path: '/marks', word: 'Marks', Screen: MarksScreen },
  { path: '/marks/:athleteId/:sessionId', word: null, Screen: MarksScreen },
  { path: '/stop', word: 'Stop?', Screen: AdviceScreen },
  { path: '/stop/:athleteId/:sessionId', word: null, Screen: AdviceScreen },
  { path: '/ladder', word: 'Ladder', Screen: LadderScreen },
  { path: '/ladder/:athleteId', word: null, Screen: LadderScreen },
  { path: '/trends', word: 'Trends', Screen: TrendsScreen },
  { path: '/trends/:athleteId', word: null, Screen: TrendsScreen },
  { path: '/tolerances', word: 'Tolerances', Screen: TolerancesScreen },
  { path: '/backup', word: 'Backup', Screen: BackupScreen },
];
