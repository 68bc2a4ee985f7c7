import type { Estimate } from '../quantity/quantity';

/** A cell of a table: text, a number as it is (no rounding), or nothing. */
export type CsvCell = string | number | undefined;

/**
 * A table as CSV: CRLF line ends, quotes round cells that need them, a header line with units.
 *
 * A text that a spreadsheet would take for a formula is led by an apostrophe, so that a name can't run anything.
 *
 * @source RFC 4180 (format); leading = + - @, also in their wide forms and behind blanks: common practice against formula injection, no source
 */
export function csvOf(header: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
	return [header, ...rows].map((cells) => `${cells.map(cellOf).join(',')}\r\n`).join('');
}

/** The names of the three columns of each figure, in the order of `rangeCells`. */
export function rangeHeads(figures: readonly string[]): string[] {
	return figures.flatMap((name) => [name, `${name} low`, `${name} high`]);
}

/** Said in tables that can hold a share below detection. */
export const NO_VALUE_NOTE =
	'A figure with an empty value and a low end of 0 is below detection: it is less than its high end. Where that is 95 % or more, the photos can\u2019t tell it.';

/**
 * A figure's three cells: best value and the ends of its 95 % range. What is below detection has no value, only a range from 0.
 *
 * @param factor - from the figure's unit to the column's
 */
export function rangeCells(estimate: Estimate | undefined, factor = 1): CsvCell[] {
	if (estimate === undefined) return [undefined, undefined, undefined];
	const { value, low, high, belowDetectionLimit } = estimate;
	return belowDetectionLimit ? [undefined, 0, high * factor] : [value * factor, low * factor, high * factor];
}

function cellOf(cell: CsvCell): string {
	if (cell === undefined) return '';
	if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : '';
	const safe = /^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]|^[\t\r\n]/.test(cell) ? `'${cell}` : cell;
	return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
