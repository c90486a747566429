import type { AthleteLog, Rep } from '../athletelog/index.ts';
import { SURFACE_NAMES, repsOf } from '../athletelog/index.ts';
import { MEASURE_IDS, sideOf } from '../shapes/measure.ts';
import type { MeasureId, MeasureUnit } from '../shapes/measure.ts';
import { START_NAMES } from '../starts/start.ts';
import { csv } from './csv.ts';
import type { Cell, CsvStyle } from './csv.ts';

/** Units as they stand in headings. */
const UNIT_HEADINGS: Readonly<Record<MeasureUnit, string>> = {
  deg: 'deg', leg: 'leg lengths', m: 'm', s: 's', 'leg/s': 'leg lengths/s', 'm/s': 'm/s', 'deg/s': 'deg/s', count: 'count', side: 'side',
};

/**
 * The reps that match as a table, one row a rep, oldest first. Every measure that occurs has, for each unit in which it occurs,
 * a value and both ends of its 95 % interval, and one column that says why it was not measured.
 */
export function repsCsv(log: AthleteLog, wanted: Parameters<typeof repsOf>[1], style: CsvStyle = 'international'): string {
  const reps = repsOf(log, wanted);
  const athletes = new Map(log.athletes.map((athlete) => [athlete.id, athlete]));
  const sessions = new Map(log.sessions.map((session) => [session.id, session]));
  const columns = MEASURE_IDS.flatMap((id) => columnsOf(id, reps));
  const header = ['Athlete', 'Date', 'Place', 'Rep', 'Start', 'Surface', 'Lead leg', 'Legs', 'Pain', 'Pass', 'Fitted', 'Mark at (m)', 'Star', 'Note', 'Clip', ...columns.map((column) => column.heading)];
  const rows = reps.map((rep): readonly Cell[] => [
    athletes.get(rep.athleteId)?.name ?? null,
    sessions.get(rep.sessionId)?.date ?? null,
    sessions.get(rep.sessionId)?.place ?? null,
    rep.number,
    START_NAMES[rep.start],
    rep.surfaces.map((surface) => SURFACE_NAMES[surface]).join(' + '),
    rep.lead,
    rep.legs,
    rep.hasPain ? 'yes' : 'no',
    rep.pass,
    rep.fitted === null ? null : rep.fitted ? 'yes' : 'no',
    rep.markAtM,
    rep.isStarred ? 'yes' : 'no',
    rep.note,
    rep.clip?.fileName ?? null,
    ...columns.map((column) => column.cell(rep)),
  ]);
  return csv(header, rows, style);
}

interface Column {
  readonly heading: string;
  readonly cell: (rep: Rep) => Cell;
}

function columnsOf(id: MeasureId, reps: readonly Rep[]): readonly Column[] {
  const present = reps.flatMap((rep) => rep.measures[id] ?? []);
  if (present.length === 0) return [];
  const units = [...new Set(present.flatMap((measure) => (measure.measured ? [measure.unit] : [])))].sort();
  const valueColumns = units.flatMap((unit): readonly Column[] => {
    const read = (pick: (measure: { readonly value: number; readonly ci95: readonly [number, number] }) => Cell) => (rep: Rep): Cell => {
      const measure = rep.measures[id];
      return measure?.measured === true && measure.unit === unit ? pick(measure) : null;
    };
    const name = `${id} (${UNIT_HEADINGS[unit]})`;
    if (unit === 'side') return [{ heading: name, cell: read((measure) => sideOf(measure.value)) }];
    return [
      { heading: name, cell: read((measure) => measure.value) },
      { heading: `${name} 95% from`, cell: read((measure) => measure.ci95[0]) },
      { heading: `${name} 95% to`, cell: read((measure) => measure.ci95[1]) },
    ];
  });
  if (present.every((measure) => measure.measured)) return valueColumns;
  const why: Column = {
    heading: `${id} not measured`,
    cell: (rep) => {
      const measure = rep.measures[id];
      return measure?.measured === false ? measure.why : null;
    },
  };
  return [...valueColumns, why];
}
