/** A cell of a table: text, a number as it is (no rounding), or nothing. */
export type CsvCell = string | number | undefined;

/**
 * A table as CSV: CRLF line ends, quotes round cells that need them, a header line with units.
 *
 * A text that a spreadsheet would take for a formula is led by an apostrophe, so that a name can't run anything.
 *
 * @source RFC 4180 (format); leading = + - @ in text cells: common practice against formula injection, no source
 */
export function csvOf(header: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  return [header, ...rows].map((cells) => `${cells.map(cellOf).join(',')}\r\n`).join('');
}

function cellOf(cell: CsvCell): string {
  if (cell === undefined) return '';
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : '';
  const safe = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
