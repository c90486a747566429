/** One cell: text, a number, or nothing. */
export type Cell = string | number | null;

/** How numbers and columns are written: `international` has commas between cells and a decimal point, `continental` semicolons and a decimal comma, as spreadsheets of many European countries expect. */
export type CsvStyle = 'international' | 'continental';

/**
 * A table as CSV text (RFC 4180) that spreadsheets open as it is: byte-order mark, CRLF, quotes where needed. Text that a
 * spreadsheet would run as a formula gets an apostrophe in front; numbers are left alone. An empty cell stands for no value.
 * Throws RangeError when a row has another width than the header or a number is not finite.
 */
export function csv(header: readonly string[], rows: readonly (readonly Cell[])[], style: CsvStyle = 'international'): string {
  const separator = style === 'international' ? ',' : ';';
  const line = (cells: readonly Cell[]): string => {
    if (cells.length !== header.length) throw new RangeError(`${cells.length} cells under ${header.length} headings`);
    return cells.map((cell) => cellText(cell, style)).join(separator);
  };
  return `\uFEFF${[header, ...rows].map((cells) => `${line(cells)}\r\n`).join('')}`;
}

function cellText(cell: Cell, style: CsvStyle): string {
  if (cell === null) return '';
  if (typeof cell === 'number') {
    if (!Number.isFinite(cell)) throw new RangeError(`a cell cannot hold ${cell}`);
    return style === 'international' ? String(cell) : String(cell).replace('.', ',');
  }
  // Formula starters of the common spreadsheets, their full-width forms and the control characters that are skipped before them.
  const safe = /^[=+\-@\t\r\n\u0000\uFF1D\uFF0B\uFF0D\uFF20]|^\s+[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]/.test(cell) ? `'${cell}` : cell;
  return /[",;\r\n\t]|^\s|\s$/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
