import { ERROR_CLASSES } from '@/lib/grade/errorRates';
import { MATERIAL_CLASSES, perClass } from '@/lib/material/classes';
import { medianOf } from '@/lib/quantity/moments';
import type { Method, Scored } from './accuracyScore';

const METHODS: readonly Method[] = ['threshold', 'model', 'hue'];
const METHOD_WORDS: Readonly<Record<Method, string>> = {
	threshold: 'colours alone',
	model: 'pixel model',
	hue: 'plain hue and saturation rule',
};
/** Classes over which the mean recall is taken: all but steel and grit, bare surface included. */
const BALANCED = 5;
/** Fewest free-lying hair pixels for a picture to tell. */
const LEAST_HAIR_PX = 2000;

/** What is aimed at; points are percentage points of the pieces' area. */
const TARGETS = {
	areaOnMats: 1,
	areaOnTrays: 2.5,
	blankPercent: 0.3,
	blankOfCoppersColourPercent: 1,
	redBrownPercent: 1,
	balanced: 0.7,
	recall: 0.88,
	hairPercent: 15,
} as const;

/** One entry a method and a kind of picture: medians of absolute errors, how many intervals hold, balanced accuracy. */
export function summaries(lines: readonly Scored[]): object[] {
	return METHODS.flatMap((method) =>
		[...kindsOf(lines)].flatMap(([kind, belongs]) => {
			const own = lines.filter((line) => line.method === method && belongs(line));
			return own.length === 0 ? [] : [{ summary: kind, method, ...summaryOf(own) }];
		}),
	);
}

function kindsOf(lines: readonly Scored[]): Map<string, (line: Scored) => boolean> {
	const each = (name: 'light' | 'product') =>
		[...new Set(lines.map((line) => line[name]))].map(
			(value) => [`${name}: ${value}`, (line: Scored) => line[name] === value] as const,
		);
	return new Map<string, (line: Scored) => boolean>([
		['all', () => true],
		['mats', ({ surface }) => surface === 'mat'],
		['trays', ({ surface }) => surface !== 'mat'],
		...each('light'),
		...each('product'),
	]);
}

function summaryOf(own: readonly Scored[]) {
	const points = (of: (line: Scored) => number | undefined) =>
		round(median(own.flatMap((line) => of(line) ?? []).map(Math.abs)));
	return {
		pictures: own.length,
		medianAreaShareErrorPoints: perClass((name) => points((line) => line.areaShareError[name])),
		medianFreeCopperErrorPoints: points(({ freeCopper: f }) => f && 100 * (f.value - f.truth)),
		medianCopperErrorPoints: points(({ copper: c }) => c && 100 * (c.value - c.truth)),
		medianDensityOnlyErrorPoints: points(({ densityOnlyFreeCopper: d, freeCopper: f }) =>
			f && d !== undefined ? 100 * (d - f.truth) : undefined,
		),
		freeCopperIntervalsThatHold: own.filter(({ freeCopper }) => freeCopper?.holds).length,
		copperIntervalsThatHold: own.filter(({ copper }) => copper?.holds).length,
		medianIntervalWidthPoints: points(({ copper: c }) => c && 100 * (c.high - c.low)),
		recall: recallOf(own),
		redBrownCalledCopper: round(redBrown(own)),
		redBrownInsideCalledCopper: round(redBrown(own, true)),
		hairAreaOverTruth: round(median(hairRatios(own))),
		medianSeconds: round(median(own.map(({ seconds }) => seconds))),
	};
}

/** The figures as a person reads them, what is aimed at beside each. */
export function summaryText(lines: readonly Scored[]): string {
	return METHODS.flatMap((method) => {
		const own = lines.filter((line) => line.method === method);
		return own.length === 0 ? [] : [methodText(method, own, kindsOf(lines))];
	}).join('\n\n');
}

function methodText(method: Method, own: readonly Scored[], kinds: ReturnType<typeof kindsOf>): string {
	const classes = method === 'hue' ? MATERIAL_CLASSES.slice(0, 1) : MATERIAL_CLASSES.slice(0, 4);
	const rows = [`${METHOD_WORDS[method].toUpperCase()}`, 'median absolute error of the area share, points (aim)'];
	for (const [kind, belongs] of kinds) {
		const some = own.filter(belongs);
		if (some.length === 0 || kind === 'all') continue;
		const aim = kind === 'mats' ? TARGETS.areaOnMats : kind === 'trays' ? TARGETS.areaOnTrays : undefined;
		const cells = classes.map((name) => {
			const error = median(some.flatMap((line) => line.areaShareError[name] ?? []).map(Math.abs));
			return `${name} ${text(error)}${aim === undefined ? '' : ` (${aim})`}`;
		});
		const balanced = balancedOf(some);
		const recall = balanced === undefined || method === 'hue' ? '' : `  balanced ${text(balanced, 2)}`;
		rows.push(`  ${`${kind}, ${some.length}`.padEnd(52)} ${cells.join('  ')}${recall}`);
	}
	rows.push(...blankRows(own), ...pixelRows(method, own));
	return rows.join('\n');
}

function blankRows(own: readonly Scored[]): string[] {
	return own
		.filter(({ product }) => product.startsWith('blank'))
		.map(({ picture, product, copperShare, areaShareError: _ }) => {
			const aim = product.includes('copper') ? TARGETS.blankOfCoppersColourPercent : TARGETS.blankPercent;
			return `  blank ${picture}: called bright copper ${text(100 * copperShare, 2)} % of the area (${aim})`;
		});
}

function pixelRows(method: Method, own: readonly Scored[]): string[] {
	const rows: string[] = [];
	const kinds = [
		['', own],
		[' on mats', own.filter(({ surface }) => surface === 'mat')],
		[' on trays', own.filter(({ surface }) => surface !== 'mat')],
	] as const;
	for (const [kind, some] of kinds) {
		const wrong = redBrown(some);
		if (wrong === undefined) continue;
		const inside = 100 * (redBrown(some, true) ?? 0);
		rows.push(
			`  red to brown insulation called copper${kind}: ${text(100 * wrong, 2)} % of its pixels (${TARGETS.redBrownPercent}), ${text(inside, 2)} % two pixels and more inside pieces`,
		);
	}
	for (const [kind, some] of kinds) {
		const recalls = recallsOf(some);
		if (recalls === undefined) continue;
		const part = (k: number, name: string) => `${name} ${text(recalls[k], 2)} (${TARGETS.recall})`;
		const mean = method === 'hue' ? '' : `balanced ${text(balancedOf(some), 2)} (${TARGETS.balanced}), `;
		rows.push(`  pixels found${kind}: ${mean}${part(1, 'bright copper')}, ${part(4, 'insulation')}`);
	}
	const hair = hairRatios(own);
	if (hair.length > 0) {
		const off = 100 * (median(hair)! - 1);
		rows.push(
			`  free-lying hair wire, ${hair.length} pictures: area off by ${text(off)} % in the middle case (${TARGETS.hairPercent})`,
		);
	}
	return rows;
}

/** Called over true area of free hair wire, one a picture that has enough of it. */
export function hairRatios(lines: readonly Scored[]): number[] {
	return lines.flatMap(({ hair }) =>
		hair !== undefined && hair.truePx >= LEAST_HAIR_PX ? [hair.calledPx / hair.truePx] : [],
	);
}

/** Share of all red to brown insulation pixels that are called copper; of those two pixels and more inside pieces where asked. */
export function redBrown(lines: readonly Scored[], isInside = false): number | undefined {
	const sum = (of: 'pixels' | 'calledCopper') =>
		lines.reduce((all, { redBrown: own }) => all + ((isInside ? own?.inside : own)?.[of] ?? 0), 0);
	return sum('pixels') === 0 ? undefined : sum('calledCopper') / sum('pixels');
}

/** Share of each true class that is called so; undefined without masks. */
export function recallsOf(lines: readonly Scored[]): (number | undefined)[] | undefined {
	const tables = lines.flatMap(({ table }) => (table === undefined ? [] : [table]));
	if (tables.length === 0) return undefined;
	return Array.from({ length: ERROR_CLASSES }, (_, k) => {
		const all = tables.flatMap((table) => table[k]!).reduce((sum, count) => sum + count, 0);
		return all === 0 ? undefined : tables.reduce((sum, table) => sum + table[k]![k]!, 0) / all;
	});
}

export function balancedOf(lines: readonly Scored[]): number | undefined {
	const known = recallsOf(lines)
		?.slice(0, BALANCED)
		.filter((recall) => recall !== undefined);
	return known && known.reduce((sum, recall) => sum + recall, 0) / known.length;
}

function recallOf(lines: readonly Scored[]): object | undefined {
	const recalls = recallsOf(lines);
	return (
		recalls && {
			balanced: round(balancedOf(lines)),
			...Object.fromEntries(['background', ...MATERIAL_CLASSES].map((name, k) => [name, round(recalls[k])])),
		}
	);
}

/** Middle number; undefined of none. */
export function median(numbers: readonly number[]): number | undefined {
	return numbers.length === 0 ? undefined : medianOf(numbers);
}

function round(value: number | undefined): number | undefined {
	return value === undefined ? undefined : Math.round(value * 1000) / 1000;
}

function text(value: number | undefined, digits = 1): string {
	return value === undefined ? 'none' : value.toFixed(digits);
}
