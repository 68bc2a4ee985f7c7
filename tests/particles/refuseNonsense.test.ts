import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { measurePieces } from '@/lib/particles/measure';
import { readSpread } from '@/lib/particles/readSpread';
import { refuseNonsense } from '@/lib/particles/refuseNonsense';
import type { SpreadReading } from '@/lib/particles/spreadReading';
import type { PhotoWarning } from '@/lib/photo/photoWarning';
import { Drawing, flatSurface } from './shapes';

/** A hundred equal bars, so many of them of a label, the others insulation; refused or not. */
function judge(method: SpreadReading['method'], share: Readonly<Record<number, number>>): void {
	const labels = Object.entries(share).flatMap(([label, count]) => new Array<number>(count).fill(Number(label)));
	const drawing = new Drawing(640, 480);
	for (let k = 0; k < 100; k++) {
		const [x, y] = [40 + 62 * (k % 10), 30 + 46 * Math.floor(k / 10)];
		drawing.bar(labels[k] ?? CLASS_CODE.insulation, x, y, 30, 12, 0);
	}
	const surface = flatSurface(640, 480, 8);
	const measured = measurePieces(drawing.map(), surface);
	refuseNonsense(measured, readSpread(drawing.map(), surface, method, measured), surface);
}

const { other } = CLASS_CODE;
const isNoCable = expect.objectContaining({
	code: 'nothing-spread',
	message: expect.stringMatching(/neither metal nor insulation of cable\. There is no grade/),
});

test('what the model leaves unjudged is no cable from a third of what was found on', () => {
	expect(() => judge('model', { [UNJUDGED]: 30 })).not.toThrow();
	expect(() => judge('model', { [UNJUDGED]: 36 })).toThrow(isNoCable);
});

test('stone and steel count beside it, but a gritty spread is still one', () => {
	expect(() => judge('model', { [other]: 37 })).not.toThrow();
	expect(() => judge('model', { [other]: 43 })).toThrow(isNoCable);
	expect(() => judge('model', { [other]: 20, [UNJUDGED]: 25 })).toThrow(isNoCable);
});

test('colours leave more unjudged: half is asked of them, and stone is no reason', () => {
	expect(() => judge('threshold', { [UNJUDGED]: 46, [other]: 30 })).not.toThrow();
	expect(() => judge('threshold', { [UNJUDGED]: 54 })).toThrow(isNoCable);
});

test('a heap that hides more than it shows is no spread; one that hides a little less is', () => {
	// pieces dropped at random (Boolean model) hide as many as they show where they cover 79.7 % of the field
	const covered = (share: number, ...judged: PhotoWarning[]) => {
		const drawing = new Drawing(600, 480);
		for (let k = 0; k < 6; k++) drawing.bar(CLASS_CODE.insulation, 50 + 100 * k, 240, 100 * share, 480, 0);
		const surface = flatSurface(600, 480, 10);
		const measured = measurePieces(drawing.map(), surface);
		refuseNonsense(measured, readSpread(drawing.map(), surface, 'model', measured), surface, judged);
	};
	expect(() => covered(0.78)).not.toThrow();
	expect(() => covered(0.82)).toThrow(/^Pieces cover 82 % of the field, so more of them lie hidden than are seen/);
	// what a blur smears over the field is no reason to spread less: that it is blurred is said first
	const blurred = { code: 'blurred', message: 'The picture is blurred.' };
	expect(() => covered(0.82, { code: 'tilted', message: 'Tilted.' }, blurred)).toThrow(
		expect.objectContaining({
			hint: expect.stringMatching(/^The picture is blurred\. Spread a smaller scoop.* keep shadows off it/),
		}),
	);
});
