import { MEASURE_NAMES } from '../../src/cues/index.ts';
import { START_IDS, START_NAMES } from '../../src/starts/start.ts';
import { BASIS_NAMES, DEFAULT_LABEL, defaultTolerance, measuresOf } from '../../src/tolerances/index.ts';
import { pageName, toleranceCells } from './measure-pages.ts';

/** The text of docs/tolerances.md: how verdicts are made, and every default with its basis. */
export function toleranceText(): string {
  return [
    '# Tolerances',
    '',
    'Written by `node tools/run.mjs tools/docs/write-docs.ts` from the code; a test fails when they differ.',
    '',
    `No published rule exists for the shapes of these starts. Every band below is a **${DEFAULT_LABEL}**: a place to begin, not a verdict on an athlete.`,
    '',
    '## What a tolerance holds',
    '',
    '- **Target band**, both ends included. No band: the measure is shown and compared with the athlete’s own reps, never scored.',
    '- **Soft margin**: how far beyond the band still counts as near.',
    '- **Importance** 1 to 5: orders the cues. 5 is what the start is used for (common practice, no source).',
    '- **Basis**: where the default comes from. Edited entries read “set by the coach”.',
    '- **Own cues**, if the coach wants other words than the built-in ones.',
    '',
    'File format for sharing: [tolerances-format](tolerances-format.md).',
    '',
    '## How a verdict is made',
    '',
    'The 95 % interval is held against the band, not the value alone:',
    '',
    '| interval | verdict |',
    '|---|---|',
    '| wholly inside the band | on target |',
    '| across an end of the band | too close to call, never a fail, no cue |',
    '| wholly on one side, at least in part within the soft margin | near |',
    '| wholly beyond the soft margin | off target |',
    '| no value, or a value that cannot be trusted | not measured, with the reason; never scored |',
    '',
    'Interior angles and the split end at 180°: an interval that reaches beyond is cut there.',
    '',
    'Cues: off target before near, then by weight = departure in soft margins × importance × trust. Trust = soft margin ÷ (soft margin + half the interval): 1 for an exact value, ½ when half the interval is as wide as the soft margin.',
    'A wrong count of steps or a wrong first foot counts as three soft margins (chosen: it is another start).',
    '',
    '## Where the defaults come from',
    '',
    ...Object.entries(BASIS_NAMES)
      .filter(([tag]) => tag !== 'coach')
      .map(([tag, name]) => `- **${tag}**: ${name}.`),
    '',
    'No scored angle band is narrower than 20°, no length band narrower than 0.2 leg lengths: twice a standard error of 5° on each side is what automatic landmarks allow at best in published work.',
    'The passé has two schools: toe at the other knee (about 43°, default) and a driven right angle. A coach of the second sets 80–100°.',
    'In the low lunge, a deeper bend of the back knee than the band is called “more bent than your target”, not wrong: in sprint blocks 90° was the fastest of three (Milanese 2014).',
    '',
    ...START_IDS.flatMap((start) => [
      `## ${START_NAMES[start]}`,
      '',
      '| measure | target | near up to | importance | basis |',
      '|---|---|---|---|---|',
      ...measuresOf(start).map((id) => `| [${MEASURE_NAMES[id]}](measures/${pageName(id)}.md) | ${toleranceCells(id, defaultTolerance(start, id))} |`),
      '',
    ]),
  ].join('\n');
}
