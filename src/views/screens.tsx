import type { ComponentType } from 'react';
import { AthleteScreen } from './athletes/athlete-screen.tsx';
import { AthletesScreen } from './athletes/athletes-screen.tsx';
import { ClipScreen } from './clip-screen.tsx';
import { BackupScreen } from './sessions/backup-screen.tsx';
import { HandRepScreen } from './sessions/hand-rep-screen.tsx';
import { SessionScreen } from './sessions/session-screen.tsx';
import { SessionsScreen } from './sessions/sessions-screen.tsx';

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
  { path: '/backup', word: 'Backup', Screen: BackupScreen },
];
