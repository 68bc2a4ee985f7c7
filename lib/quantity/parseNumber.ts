import { TrayError } from '../errors/TrayError';

/**
 * Read a number as a tired person types it: `12,4`, `12.4`, ` 12.4 kg`, `1 240`.
 *
 * A comma or a point is the decimal sign, whichever stands alone; blanks between digits group thousands, and a blank before the
 * decimal sign slipped in. What could mean two things is refused: both signs, two of one, and a comma before exactly three digits
 * (`1,240` is 1.24 to some and 1240 to others; a point there is what scales show and is a decimal sign).
 *
 * @param text - what stands in the field
 * @param units - unit words that may follow the number, compared without case
 * @returns the number, or undefined when the text is not one number
 */
export function parseNumber(text: string, units: readonly string[] = []): number | undefined {
	const bare = withoutUnit(text.trim(), units)
		.replace(/(?<=\d)\s+(?=[.,]\d)/, '')
		.replace(/(?<=\d)[\s\u00a0\u202f](?=\d{3}(?!\d))/g, '');
	if (!/^[+\-\u2212]?(\d+([.,]\d*)?|[.,]\d+)$/.test(bare) || isAmbiguous(bare)) return undefined;
	return Number(bare.replace(',', '.').replace('\u2212', '-'));
}

/**
 * The same, for callers that cannot go on without the number.
 *
 * @param what - what the number is, as the sentence's subject: `the gross weight`
 * @throws TrayError `number-unreadable` with a sentence saying what was typed and how to write it
 */
export function readNumber(text: string, what: string, units: readonly string[] = []): number {
	const number = parseNumber(text, units);
	if (number !== undefined) return number;
	const typed = text.trim();
	if (typed === '') throw new TrayError('number-unreadable', `${what} is empty.`, 'Type a number, for example 12.4.');
	if (isAmbiguous(withoutUnit(typed, units))) {
		const [thousands, decimals] = [typed.replace(',', ''), typed.replace(',', '.')];
		const hint = `Write "${thousands}" or "${decimals}", whichever is meant.`;
		throw new TrayError('number-unreadable', `${what} "${typed}" can be read in two ways.`, hint);
	}
	const hint = 'Write digits with one decimal comma or point, for example 12.4.';
	throw new TrayError('number-unreadable', `${what} "${typed.slice(0, 40)}" is not a number.`, hint);
}

/** Digits, a comma, exactly three digits: the comma may be a decimal sign or set off thousands (unless zero stands first). */
function isAmbiguous(bare: string): boolean {
	return /^[+\-\u2212]?[1-9]\d{0,2},\d{3}$/.test(bare);
}

function withoutUnit(text: string, units: readonly string[]): string {
	const lower = text.toLowerCase();
	const unit = units
		.filter((word) => lower.endsWith(word.toLowerCase()))
		.sort((a, b) => b.length - a.length)
		.at(0);
	return unit === undefined ? text : text.slice(0, text.length - unit.length).trim();
}
