import { check } from '../../src/checker/check.ts';
import { MOMENT_IDS } from '../../src/phases/moment.ts';
import { MEASURE_IDS, type Measure, type MeasureId, type MeasureUnit } from '../../src/shapes/measure.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import type { MeasuredRecord, ResultRecord } from '../measure/results-schema.ts';
import type { Truth } from './truth.ts';

/** One clip beside its truth. */
export interface Pair {
  readonly name: string;
  readonly record: ResultRecord;
  readonly truth: Truth;
}

/** Errors of one measure over clips. */
export interface MeasureRow {
  readonly id: MeasureId;
  readonly unit: MeasureUnit;
  readonly measured: number;
  readonly of: number;
  readonly mae: number;
  readonly bias: number;
  readonly max: number;
  /** Share of intervals that hold the truth. */
  readonly coverage: number;
  /** Mean half width of the intervals. */
  readonly halfWidth: number;
  /** Verdicts where the truth lies farther from every edge of its band than the interval is wide: right, no call, wrong. */
  readonly verdicts: { readonly right: number; readonly noCall: number; readonly wrong: number };
}

/** Errors of one moment over clips, frames of the clip. */
export interface MomentRow {
  readonly id: string;
  readonly found: number;
  readonly of: number;
  readonly medianAbs: number;
  readonly abs95: number;
  readonly max: number;
  readonly bias: number;
  readonly withinOne: number;
}

/** Choices that the tool made by itself. */
export interface ChoiceCounts {
  readonly clips: number;
  readonly failed: number;
  readonly start: number;
  readonly lead: number;
  readonly direction: number;
}

/** How often start, lead leg and direction are right; a clip that failed counts as wrong. */
export function countChoices(pairs: readonly Pair[]): ChoiceCounts {
  const right = (test: (record: MeasuredRecord, truth: Truth) => boolean): number =>
    pairs.filter(({ record, truth }) => record.ok && test(record, truth)).length;
  return {
    clips: pairs.length,
    failed: pairs.filter(({ record }) => !record.ok).length,
    start: right((record, truth) => record.start.id === truth.start),
    lead: right((record, truth) => record.lead.side === truth.lead),
    direction: right((record, truth) => record.direction.value === truth.direction),
  };
}

/** Errors of every moment that the truth states. */
export function momentRows(pairs: readonly Pair[]): readonly MomentRow[] {
  return MOMENT_IDS.flatMap((id) => {
    const errors: number[] = [];
    let of = 0;
    for (const { record, truth } of pairs) {
      const t = truth.moments[id];
      if (t === undefined) continue;
      of += 1;
      const moment = record.ok ? record.moments[id] : undefined;
      if (moment?.found === true) errors.push((moment.t - t) * truth.fps);
    }
    if (of === 0) return [];
    const abs = errors.map(Math.abs).sort((a, b) => a - b);
    return [{
      id,
      found: errors.length,
      of,
      medianAbs: quantile(abs, 0.5),
      abs95: quantile(abs, 0.95),
      max: abs.at(-1) ?? Number.NaN,
      bias: mean(errors),
      withinOne: abs.filter((error) => error <= 1).length,
    }];
  });
}

/** Errors of every measure that the truth states, against the truth in space. A clip whose start was mistaken misses the measures of its own start. */
export function measureRows(pairs: readonly Pair[]): readonly MeasureRow[] {
  return MEASURE_IDS.flatMap((id) => {
    const errors: number[] = [];
    const halves: number[] = [];
    let covered = 0;
    let of = 0;
    let unit: MeasureUnit = 'deg';
    const verdicts = { right: 0, noCall: 0, wrong: 0 };
    for (const { record, truth } of pairs) {
      const expected = truth.measures[id];
      if (expected === undefined) continue;
      of += 1;
      unit = expected.unit;
      const got = record.ok ? record.measures[id] : undefined;
      if (got?.measured !== true || got.unit !== expected.unit) continue;
      errors.push(got.value - expected.value);
      halves.push((got.ci95[1] - got.ci95[0]) / 2);
      if (expected.value >= got.ci95[0] && expected.value <= got.ci95[1]) covered += 1;
      const verdict = judge(id, record as MeasuredRecord, truth, expected.value, got.ci95);
      if (verdict !== null) verdicts[verdict] += 1;
    }
    if (of === 0) return [];
    return [{
      id,
      unit,
      measured: errors.length,
      of,
      mae: mean(errors.map(Math.abs)),
      bias: mean(errors),
      max: Math.max(...errors.map(Math.abs), Number.NEGATIVE_INFINITY),
      coverage: covered / errors.length,
      halfWidth: mean(halves),
      verdicts,
    }];
  });
}

/** The tool's verdict beside that on the true value; null where the truth is too near an edge for the interval, or has no band. */
function judge(
  id: MeasureId,
  record: MeasuredRecord,
  truth: Truth,
  trueValue: number,
  ci95: readonly [number, number],
): 'right' | 'noCall' | 'wrong' | null {
  const finding = record.findings.find((one) => one.measure === id);
  if (finding === undefined || record.start.id !== truth.start) return null;
  const exact: Measure = { measured: true, value: trueValue, unit: 'deg', ci95: [trueValue, trueValue], t: null, frame: null, source: 'detected' };
  const expected = check(truth.start, { [id]: { ...exact, unit: truth.measures[id]?.unit ?? 'deg' } }, DEFAULT_PROFILE, truth.lead)
    .find((one) => one.measure === id);
  if (expected === undefined) return null;
  const half = (ci95[1] - ci95[0]) / 2;
  if (finding.band.some((edge) => Math.abs(trueValue - edge) <= half)) return null;
  if (finding.verdict === 'too-close' || finding.verdict === 'not-measured') return 'noCall';
  const place = (verdict: string, side: string | null): string => (verdict === 'in-band' ? 'in' : String(side));
  return place(finding.verdict, finding.side) === place(expected.verdict, expected.side) ? 'right' : 'wrong';
}

/** Coverage over all measures with an interval of some width: intervals that hold the truth, of how many. */
export function overallCoverage(rows: readonly MeasureRow[]): { readonly covered: number; readonly of: number } {
  const wide = rows.filter((row) => row.measured > 0 && row.halfWidth > 0);
  return {
    covered: wide.reduce((sum, row) => sum + Math.round(row.coverage * row.measured), 0),
    of: wide.reduce((sum, row) => sum + row.measured, 0),
  };
}

/** The tables as Markdown, which also reads well in a terminal. */
export function formatTables(pairs: readonly Pair[]): string {
  const choices = countChoices(pairs);
  const rows = measureRows(pairs);
  const coverage = overallCoverage(rows);
  const n = choices.clips;
  const part = (count: number): string => `${String(count)}/${String(n)}`;
  return [
    `Clips ${String(n)}, failed ${String(choices.failed)}. Start right ${part(choices.start)}, lead leg right ${part(choices.lead)}, direction right ${part(choices.direction)}.`,
    '',
    '| moment | found | median error | 95 % | largest | bias | within 1 frame |',
    '|---|---|---|---|---|---|---|',
    ...momentRows(pairs).map((row) =>
      `| ${row.id} | ${String(row.found)}/${String(row.of)} | ${figure(row.medianAbs, 2)} | ${figure(row.abs95, 2)} | ${figure(row.max, 2)} | ${signed(row.bias, 2)} | ${String(row.withinOne)}/${String(row.found)} |`),
    '',
    'Errors of moments in frames of the clip.',
    '',
    '| measure | unit | measured | mean abs error | bias | largest | 95 % interval ± | truth inside | verdict right / no call / wrong |',
    '|---|---|---|---|---|---|---|---|---|',
    ...rows.map((row) => {
      const digits = row.unit === 'deg' || row.unit === 'deg/s' ? 1 : 3;
      const { right, noCall, wrong } = row.verdicts;
      return `| ${row.id} | ${row.unit} | ${String(row.measured)}/${String(row.of)} | ${figure(row.mae, digits)} | ${signed(row.bias, digits)} | ${figure(row.max, digits)} | ${figure(row.halfWidth, digits)} | ${percent(row.coverage)} | ${String(right)} / ${String(noCall)} / ${String(wrong)} |`;
    }),
    '',
    `Intervals that hold the truth: ${String(coverage.covered)} of ${String(coverage.of)} (${percent(coverage.covered / coverage.of)}).`,
  ].join('\n');
}

/** One line a group: the six angles that matter most, the lunge ratio, and the moments. */
export function formatGroups(pairs: readonly Pair[], group: keyof Truth['groups']): string {
  const names = [...new Set(pairs.map(({ truth }) => truth.groups[group]))].sort();
  const ids: readonly MeasureId[] = ['passe.knee', 'set.backKnee', 'launch.trunkLean', 'launch.pushKnee', 'plant.frontKnee', 'set.passeKnee', 'plant.lungeRatio'];
  return [
    `| ${group} | clips | start right | ${ids.join(' | ')} | moments within 1 frame | intervals |`,
    `|---|---|---|${ids.map(() => '---').join('|')}|---|---|`,
    ...names.map((name) => {
      const own = pairs.filter(({ truth }) => truth.groups[group] === name);
      const rows = measureRows(own);
      const cells = ids.map((id) => {
        const row = rows.find((one) => one.id === id);
        return row === undefined || row.measured === 0 ? '' : figure(row.mae, row.unit === 'deg' ? 1 : 3);
      });
      const moments = momentRows(own);
      const found = moments.reduce((sum, row) => sum + row.found, 0);
      const within = moments.reduce((sum, row) => sum + row.withinOne, 0);
      const coverage = overallCoverage(rows);
      return `| ${name} | ${String(own.length)} | ${String(countChoices(own).start)} | ${cells.join(' | ')} | ${String(within)}/${String(found)} | ${percent(coverage.covered / coverage.of)} |`;
    }),
  ].join('\n');
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Linear interpolation between order statistics. NaN for no values. */
function quantile(sorted: readonly number[], part: number): number {
  const at = (sorted.length - 1) * part;
  const below = sorted[Math.floor(at)];
  const above = sorted[Math.ceil(at)];
  return below === undefined || above === undefined ? Number.NaN : below + (above - below) * (at - Math.floor(at));
}

function figure(value: number, digits: number): string {
  return Number.isFinite(value) ? value.toFixed(digits) : '–';
}

function signed(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '–';
  return `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(digits)}`;
}

function percent(part: number): string {
  return Number.isFinite(part) ? `${(part * 100).toFixed(0)} %` : '–';
}
