/** Cells of CSV text by RFC 4180 with the given separator; a second reader, independent of the writer. Throws when a line does not end in CRLF. */
export function readCsv(text: string, separator = ','): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = '';
  let isQuoted = false;
  for (let i = text.startsWith('\uFEFF') ? 1 : 0; i < text.length; i += 1) {
    const c = text[i]!;
    if (isQuoted) {
      if (c === '"' && text[i + 1] === '"') { cell += '"'; i += 1; }
      else if (c === '"') isQuoted = false;
      else cell += c;
    } else if (c === '"' && cell === '') isQuoted = true;
    else if (c === separator) { row.push(cell); cell = ''; }
    else if (c === '\r' && text[i + 1] === '\n') { rows.push([...row, cell]); row = []; cell = ''; i += 1; }
    else if (c === '\n' || c === '\r') throw new Error(`bare line break at ${i}`);
    else cell += c;
  }
  if (cell !== '' || row.length > 0 || isQuoted) throw new Error('the last line does not end in CRLF');
  return rows;
}
