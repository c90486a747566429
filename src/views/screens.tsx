import type { ComponentType } from 'react';
import { AthleteScreen } from './athletes/athlete-screen.tsx';
import { AthletesScreen } from './athletes/athletes-screen.tsx';
import { ClipScreen } from './clip-screen.tsx';
import { CompareScreen } from './compare/compare-screen.tsx';
import { SideScreen } from './compare/side-screen.tsx';
import { LadderScreen } from './ladder/ladder-screen.tsx';
import { MarksScreen } from './marks/marks-screen.tsx';
import { AdviceScreen } from './session-advice/advice-screen.tsx';
import { BackupScreen } from './sessions/backup-screen.tsx';
import { HandRepScreen } from './sessions/hand-rep-screen.tsx';
import { SessionScreen } from './sessions/session-screen.tsx';
import { SessionsScreen } from './sessions/sessions-screen.tsx';
import { TolerancesScreen } from './tolerances/tolerances-screen.tsx';
import { TrendsScreen } from './trends/trends-screen.tsx';

/** One screen: its address after the #, its word in the line of screens (null = reached from another screen), and what it shows. */
export interface ScreenRow {
  readonly path: string;
  readonly word: string | null;
  readonly Screen: ComponentType;
}

/** Every screen of the app, in the order of the line. Addresses are patterns of wouter; the first match is shown. */
export const SCREENS: readonly ScreenRow[] = [
  { path: '/', word: 'Clip', Screen: ClipScreen },
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
