import { readFile, writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import {
	ERROR_CLASSES,
	type ErrorRates,
	errorRatesByKindSchema,
	fitErrorRates,
	READING_KINDS,
	type ReadingKind,
} from '@/lib/grade/errorRates';
import { rakeTable } from '@/lib/grade/rakeTable';
import { shareOfLikeliest } from '@/lib/segmentation/areaRule';
import { heldOutText, type TableOfScene } from './heldOutRates';

/**
 * Fits the error rates that grades are corrected with to tables of scenes with truth, and writes lib/grade/measuredErrorRates.json.
 *
 * Takes JSON-lines files as `npm run bench:accuracy -- --tables` prints them, for the colours, and `models/confusion.json` for the
 * model: its scenes were each read by a network that had not seen them, and both ways of counting are put together as
 * lib/segmentation/areaRule.ts does. Where the lines have the model's reading of such a scene too, area gains are taken from the table brought to
 * the areas that the whole reading counts (strands sought, odd pieces put back, what is unjudged shared out), since these are what gains are applied to. A kind of reading that no file tells of keeps its rates. With `--held-out` nothing is written: it
 * prints how well rates so fitted tell scenes of other products (heldOutRates.ts), which is how their making is judged.
 */

const square = z.array(z.array(z.number().min(0)).length(ERROR_CLASSES)).length(ERROR_CLASSES);
const heldOutSchema = z.object({
	scenes: z.array(z.object({ scene: z.string(), surface: z.string(), called: square, meanProbability: square })),
});

const lineSchema = z.object({
	picture: z.string(),
	method: z.enum(['threshold', 'model']),
	surface: z.string(),
	table: z.array(z.array(z.number().min(0))),
	counted: z.array(z.number()).length(ERROR_CLASSES).optional(),
});

/** Pixels that are called alike because they belong to one piece: 1.5 mm square at 8 pixels a millimetre. */
const PIXELS_PER_PIECE = 150;
const RATES = 'lib/grade/measuredErrorRates.json';

const { values, positionals } = parseArgs({
	options: { 'held-out': { type: 'boolean', default: false } },
	allowPositionals: true,
});
const texts = await Promise.all(positionals.map((file) => readFile(file, 'utf8')));
const isHeldOut = (text: string) => text.startsWith('{"classes"');
const printed = texts.filter((text) => !isHeldOut(text)).flatMap(printedLines);
const heldOut = texts.filter(isHeldOut).flatMap(heldOutTables);
const tables: readonly TableOfScene[] = [
	...printed.filter(({ scene, kind }) => !isAmong(heldOut, scene, kind)),
	...heldOut.map(asCounted),
];
const before = errorRatesByKindSchema.parse(JSON.parse(await readFile(RATES, 'utf8')));
if (values['held-out']) console.log(heldOutText(tables, before, ratesOf));
else await writeRates();

function ratesOf(kind: ReadingKind, scenes: readonly TableOfScene[]): ErrorRates {
	const method = kind.slice(0, kind.indexOf('-'));
	const own = scenes.filter((scene) => scene.kind === kind);
	const elsewhere = scenes.filter((scene) => scene.kind !== kind && scene.kind.startsWith(method));
	const source = `${own.length} rendered scenes with truth, not used to make the method (models/CARD.md)`;
	const fitTo = (of: (scene: TableOfScene) => TableOfScene['table']) =>
		fitErrorRates(own.map(of), PIXELS_PER_PIECE, source, elsewhere.map(of));
	// false calls as the network makes them: of what is hardly there the whole reading counts next to nothing, right or wrong
	const { copperGain: _, ...rates } = fitTo(({ table }) => table);
	const { areaGain, copperGain } = fitTo(({ table, counted }) => counted ?? table);
	return { ...rates, areaGain, ...(copperGain === undefined ? {} : { copperGain }) };
}

async function writeRates(): Promise<void> {
	// a kind that no scene tells of keeps its rates
	const fitted = READING_KINDS.map((kind) => [
		kind,
		tables.some((table) => table.kind === kind) ? ratesOf(kind, tables) : before[kind],
	]);
	const rounded = JSON.stringify(Object.fromEntries(fitted), (_, value) =>
		typeof value === 'number' ? Number(value.toPrecision(4)) : value,
	);
	errorRatesByKindSchema.parse(JSON.parse(rounded));
	await writeFile(RATES, `${rounded}\n`);
}

function kindOf(method: 'threshold' | 'model', surface: string): ReadingKind {
	return `${method}-${surface === 'mat' ? 'mat' : 'tray'}`;
}

interface PrintedLine extends Omit<TableOfScene, 'counted'> {
	readonly shares?: readonly number[] | undefined;
}

function printedLines(text: string): PrintedLine[] {
	return text
		.split('\n')
		.filter((line) => line.includes('"table"') && !line.includes('"method":"hue"'))
		.map((line) => lineSchema.parse(JSON.parse(line)))
		.map(({ picture, method, surface, table, counted }) => ({
			scene: picture,
			kind: kindOf(method, surface),
			table,
			shares: counted,
		}));
}

function isAmong(scenes: readonly TableOfScene[], scene: string, kind: ReadingKind): boolean {
	return scenes.some((one) => one.scene === scene && one.kind === kind);
}

/** A held-out table, and the same at the areas that the reading of the same scene counts, where it is among the lines. */
function asCounted(held: TableOfScene): TableOfScene {
	const shares = printed.find(({ scene, kind }) => scene === held.scene && kind === held.kind)?.shares;
	if (shares === undefined) return held;
	const pixels = held.table.flat().reduce((sum, count) => sum + count, 0);
	const columnSums = shares.map((share) => Math.max(0, share) * pixels);
	return { ...held, counted: rakeTable(held.table, columnSums) };
}

function heldOutTables(text: string): TableOfScene[] {
	return heldOutSchema.parse(JSON.parse(text)).scenes.map(({ scene, surface, called, meanProbability }) => {
		const of = shareOfLikeliest(called.reduce((sum, row) => sum.map((count, j) => count + row[j]!)));
		const table = called.map((row, k) =>
			row.map((count, j) => of[j]! * count + (1 - of[j]!) * meanProbability[k]![j]!),
		);
		return { scene, kind: kindOf('model', surface), table };
	});
}
