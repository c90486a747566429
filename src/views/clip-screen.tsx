import { FirstScreen } from './first/first-screen.tsx';
import { ProblemScreen } from './problem/problem-screen.tsx';
import { ResultScreen } from './result/result-screen.tsx';
import { useSelectedClip } from './session-context.ts';
import { WorkingScreen } from './working/working-screen.tsx';

/** The clip in hand: the way in, the work on it, why it failed, or its result. */
export function ClipScreen() {
  const clip = useSelectedClip();
  if (clip === null) return <FirstScreen />;
  const { stage } = clip;
  switch (stage.kind) {
    case 'done':
      return <ResultScreen key={clip.id} clip={clip} analysis={stage.analysis} reading={stage.reading} readMs={stage.readMs} />;
    case 'failed':
      return <ProblemScreen clip={clip} problem={stage.problem} />;
    default:
      return <WorkingScreen key={clip.id} clip={clip} progress={stage.kind === 'working' ? stage.progress : null} />;
  }
}
