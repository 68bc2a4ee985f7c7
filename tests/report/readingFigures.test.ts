import { expect, test } from 'vitest';
import { linesOf, readingFigures, worstLines } from '@/app/_command/collectFigures';
import measured from '@/app/method/readingFigures.json';
import { areaRows, printOff, printSpan, readingFiguresSchema, worstSentence } from '@/lib/report/readingFigures';

/** A line as the accuracy measurement prints it: 100 pixels of copper of which `lost` are called bare, 100 of insulation. */
function lineOf(picture: string, lost: number, more: object = {}): string {
	const none = [0, 0, 0, 0, 0, 0];
	const table = [[800, 0, 0, 0, 0, 0], [lost, 100 - lost, 0, 0, 0, 0], none, none, [0, 0, 0, 0, 100, 0], none];
	const areaShareError = { brightCopper: -lost, tinnedCopper: 0, aluminium: 0, insulation: lost, other: 0 };
	const about = { surface: 'mat', light: 'overcast', product: 'middlings', seconds: 1 };
	return JSON.stringify({
		picture,
		method: 'model',
		...about,
		areaShareError,
		copperShare: 0,
		warnings: [],
		table,
		...more,
	});
}

test('the page has figures, and a picture for each of the three worst', () => {
	expect(readingFiguresSchema.parse(measured).worst).toHaveLength(3);
});

test('a picture measured twice counts once, as measured last; lines without pixels are passed over', () => {
	const lines = linesOf([[lineOf('a', 50), lineOf('b', 10)].join('\n'), `${lineOf('a', 20)}\n{"summary":"all"}\nTEXT`]);
	expect(lines.map(({ picture, table }) => [picture, table[1]![0]])).toEqual([
		['a', 20],
		['b', 10],
	]);
});

test('medians, pixels found and blanks come from the lines; the worst are those with areas furthest off', () => {
	const blank = { product: 'blank with copper-brown', surface: 'white enamel', copperShare: 0.004 };
	const lines = linesOf([lineOf('a', 10), lineOf('b', 20), lineOf('c', 60), lineOf('d', 0, blank)]);
	const worst = worstLines(lines, 'model', 2);
	expect(worst.map(({ picture }) => picture)).toEqual(['c', 'b']);
	const { model, threshold } = readingFigures(lines, worst);
	expect(threshold).toBeUndefined();
	expect(model?.mat?.areaPoints.brightCopper).toBe(20);
	expect(model?.mat?.found?.brightCopper).toBe(0.7); // 90 + 80 + 40 of 300
	expect(model?.mat?.found?.insulation).toBe(1);
	expect(model?.copperColouredBlankPercent).toEqual([0.4]);
	expect(model?.blankPercent).toEqual([]);
	expect(areaRows(readingFigures(lines, worst))[0]).toEqual(['Model', 'mats (3)', ['20.0', '0.0', '0.0', '20.0']]);
});

test('words', () => {
	expect(printSpan([0.27, 0.04])).toBe('0.04 to 0.27 %');
	expect(printSpan([])).toBe('none measured');
	expect(printOff(-38.2)).toBe('38 % too small');
	const picture = { surface: 'light wood', light: 'overcast', product: 'middlings', wrongShare: 0.41 };
	expect(worstSentence({ ...picture, points: { brightCopper: -12.9, insulation: 6.8, other: 0.3 } })).toBe(
		'Middlings on a tray of light wood, overcast: copper, bright or dull read 13 points too low; insulation 7 points too high. 41\u00a0% of the pixels with a piece are wrong.',
	);
});
