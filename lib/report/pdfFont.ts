import path from 'node:path';
import { Font } from '@react-pdf/renderer';

/** The family that PDFs are set in. */
export const PDF_FONT = 'DejaVu Sans';

/** Make the family known to the PDF renderer, once; only a word longer than a line of a column is broken. */
export function registerPdfFont(): void {
	if (Font.getRegisteredFontFamilies().includes(PDF_FONT)) return;
	const folder = path.join(process.cwd(), 'node_modules/dejavu-fonts-ttf/ttf');
	Font.register({
		family: PDF_FONT,
		fonts: [
			{ src: path.join(folder, 'DejaVuSans.ttf') },
			{ src: path.join(folder, 'DejaVuSans-Bold.ttf'), fontWeight: 'bold' },
		],
	});
	Font.registerHyphenationCallback(partsOf);
}

/** Longer words than any that is written, letters: names without a blank, which would run over the paper's edge. */
const LONGEST_WORD = 24;

function partsOf(word: string): string[] {
	// a checksum stays in one piece: it has a line of its own
	if (word.length <= LONGEST_WORD || /^[0-9a-f]+$/.test(word)) return [word];
	const letters = [...word];
	return Array.from({ length: Math.ceil(letters.length / 8) }, (_, p) => letters.slice(8 * p, 8 * p + 8).join(''));
}

/**
 * The same texts with a square in the place of every letter that the family lacks (emoji, Chinese): the renderer would put wrong letters there.
 *
 * @param content - texts, lists and objects of them; anything else stays as it is
 */
export async function inPdfLetters<Content>(content: Content): Promise<Content> {
	await Font.load({ fontFamily: PDF_FONT });
	const data = Font.getFont({ fontFamily: PDF_FONT }).data;
	const isThere = (letter: string) => data === null || data.hasGlyphForCodePoint(letter.codePointAt(0) ?? 0);
	const inLetters = (one: unknown): unknown => {
		if (typeof one === 'string') return one.replace(/[\u200d\ufe0e\ufe0f]/g, '').replace(/./gsu, replaced);
		if (Array.isArray(one)) return one.map(inLetters);
		if (one === null || typeof one !== 'object') return one;
		return Object.fromEntries(Object.entries(one).map(([name, part]) => [name, inLetters(part)]));
	};
	const replaced = (letter: string) => (letter === '\n' || isThere(letter) ? letter : '□');
	return inLetters(content) as Content; // of the same make, letter by letter
}
