import { surfaceFromCorners } from '@/lib/photo/tray';
import type { ReadingChoice } from '@/lib/store/entries';
import { FieldReader } from './readFields';

const SURFACES = ['auto', 'mat', 'tray'] as const;
const METHODS = ['auto', 'threshold', 'model'] as const;

/** The corners' fields, clockwise from the top-left, x before y. */
export const CORNER_FIELDS = ['x1', 'y1', 'x2', 'y2', 'x3', 'y3', 'x4', 'y4'] as const;

/** Names of the corners in the order of the fields. */
export const CORNER_NAMES = ['top-left', 'top-right', 'bottom-right', 'bottom-left'] as const;

/** Read how a photo is to be read; the choice counts only when there is no problem. */
export function readReadingForm(typed: Readonly<Record<string, string>>): {
	choice: ReadingChoice;
	fields: FieldReader;
} {
	const fields = new FieldReader(typed);
	const surface = fields.choice('surface', SURFACES, 'Choose what the spread lies on');
	const method = fields.choice('method', METHODS, 'Choose the method');
	const material = fields.text('material', 80);
	const tray = surface === 'tray' ? readTray(fields) : {};
	return { choice: { surface, method, ...(material === '' ? {} : { material }), ...tray }, fields };
}

function readTray(fields: FieldReader): Partial<ReadingChoice> {
	const size = { least: 20, most: 2000, unit: 'mm' };
	const fieldWidthMm = fields.number('fieldWidthMm', 'The inner width', size);
	const fieldHeightMm = fields.number('fieldHeightMm', 'The inner height', size);
	if (!fields.has('fieldWidthMm')) fields.problem('fieldWidthMm', "Enter the tray's inner width in mm");
	if (!fields.has('fieldHeightMm')) fields.problem('fieldHeightMm', "Enter the tray's inner height in mm");
	const corners = CORNER_NAMES.flatMap((corner, i) =>
		readCorner(fields, corner, CORNER_FIELDS.slice(2 * i, 2 * i + 2)),
	);
	if (fields.problems.length > 0 || fieldWidthMm === undefined || fieldHeightMm === undefined) return {};
	try {
		const points = [0, 2, 4, 6].map((i) => ({ x: corners[i] ?? Number.NaN, y: corners[i + 1] ?? Number.NaN }));
		surfaceFromCorners(points, fieldWidthMm, fieldHeightMm);
	} catch (cause) {
		fields.caught('x1', cause);
	}
	// eight fields, eight numbers
	return { corners: corners as unknown as NonNullable<ReadingChoice['corners']>, fieldWidthMm, fieldHeightMm };
}

/** Both numbers of a corner; a corner that is not set is told once, at the first of its fields. */
function readCorner(fields: FieldReader, corner: string, names: readonly string[]): readonly number[] {
	const pixels = { least: -1000, most: 100_000, unit: 'px' };
	const before = fields.problems.length;
	return names.map((name) => {
		if (fields.problems.length > before) return Number.NaN;
		if (!fields.has(name)) fields.problem(name, `Set the ${corner} corner`);
		return fields.number(name, `The ${corner} corner`, pixels) ?? Number.NaN;
	});
}
