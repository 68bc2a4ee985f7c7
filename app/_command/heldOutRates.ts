import { holdStill } from '@/lib/grade/causes';
import { ERROR_CLASSES, type ErrorRates, type ErrorRatesByKind, type ReadingKind } from '@/lib/grade/errorRates';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { drawSpread } from '@/lib/grade/spreadDraws';
import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { SpreadReading } from '@/lib/particles/spreadReading';
import { estimateOf } from '@/lib/quantity/estimateOf';
import { meanOf } from '@/lib/quantity/moments';
import { DEFAULT_SEED } from '@/lib/quantity/seededRandom';

/** One scene's pixels: rows true class, columns called class, bare surface first. */
export interface TableOfScene {
	readonly scene: string;
	readonly kind: ReadingKind;
	readonly table: readonly (readonly number[])[];
	/** The same table at the areas that the whole reading counts, where that is known. */
	readonly counted?: readonly (readonly number[])[];
}

/** Classes whose share of the pieces' area is judged, copper bright and tinned together. */
const JUDGED: Readonly<Record<string, readonly MaterialClass[]>> = {
	copper: ['brightCopper', 'tinnedCopper'],
	aluminium: ['aluminium'],
	insulation: ['insulation'],
};
const DRAWS = 2000;
const FIELD_MM2 = 17_000;
/** So many pieces that counting leaves nothing open. */
const MANY_PIECES = 10_000;

/**
 * How well error rates tell scenes that they were not fitted to: every scene's area shares with rates of the others, the other spreads of its
 * own product left out as well, since they are shot in the same light.
 *
 * Nothing but the confusion of classes is drawn, so these ranges are narrower than a photo's. A line a class and a share of it: how
 * many of the 95 % ranges hold, their mean width, the mean error, and a score that is smaller the nearer and the narrower the draws lie.
 *
 * @param ratesOf - fits rates of a kind to some scenes
 * @source score: continuous ranked probability score, T. Gneiting, A. Raftery, J. Am. Stat. Assoc. 102 (2007) 359 (from memory)
 */
export function heldOutText(
	scenes: readonly TableOfScene[],
	known: ErrorRatesByKind,
	ratesOf: (kind: ReadingKind, scenes: readonly TableOfScene[]) => ErrorRates,
): string {
	const productOf = ({ scene }: TableOfScene) => scene.replace(/-tray\d+$/, '');
	const rows = new Map<string, ReturnType<typeof judged>[]>();
	for (const scene of scenes) {
		const others = scenes.filter((other) => productOf(other) !== productOf(scene));
		const draws = areaDraws(scene, { ...known, [scene.kind]: ratesOf(scene.kind, others) });
		const trueAreas = perClass((name) => sumOf(scene.table[CLASS_CODE[name]]!));
		for (const [words, own] of Object.entries(JUDGED)) {
			const of = (areas: Readonly<Record<MaterialClass, number>>) => own.reduce((sum, name) => sum + areas[name], 0);
			const truth = of(trueAreas) / MATERIAL_CLASSES.reduce((sum, name) => sum + trueAreas[name], 0);
			const shares = draws.brightCopper.map((_, i) => own.reduce((sum, name) => sum + draws[name][i]!, 0));
			for (const row of [`${words}, all`, `${words}, ${amountOf(truth)}`])
				rows.set(row, [...(rows.get(row) ?? []), judged(shares, truth)]);
		}
	}
	const lines = [...rows]
		.sort(([one], [other]) => one.localeCompare(other))
		.map(([row, all]) => {
			const mean = (of: (one: (typeof all)[number]) => number) => (100 * meanOf(all.map(of))).toFixed(2);
			const held = all.filter(({ holds }) => holds).length;
			return `  ${row}: ${held} of ${all.length} ranges hold, ${mean(({ width }) => width)} points wide, off by ${mean(({ off }) => off)}, score ${mean(({ score }) => score)}`;
		});
	return ['HELD OUT, shares of area with rates of other products, confusion alone', ...lines].join('\n');
}

function amountOf(share: number): string {
	if (share < 0.02) return 'under 2 %';
	return share < 0.15 ? '2 to 15 %' : share < 0.6 ? '15 to 60 %' : 'over 60 %';
}

/** Draws of each class's share of the pieces' area, from a table's called areas alone. */
function areaDraws({ kind, table, counted }: TableOfScene, rates: ErrorRatesByKind) {
	const shared = drawSharedErrors(DEFAULT_MATERIAL, rates, DRAWS, DEFAULT_SEED);
	const alone = holdStill(shared, ['sampling', 'rims', 'thickness', 'density', 'locked', 'overlap', 'unjudged']);
	return drawSpread(asReading(kind, counted ?? table), DEFAULT_MATERIAL, alone, ['held out']).areaFraction;
}

function asReading(kind: ReadingKind, table: TableOfScene['table']): SpreadReading {
	const mm2PerPixel = FIELD_MM2 / table.reduce((sum, row) => sum + sumOf(row), 0);
	const areaMm2 = perClass((name) => mm2PerPixel * sumOf(table.map((row) => row[CLASS_CODE[name]]!)));
	const piece = { count: MANY_PIECES, meanWidthAreaMm3: 1, weightedMeanWidthAreaMm3: 1, medianWidthMm: 1 };
	const [method, surfaceKind] = kind.split('-') as [SpreadReading['method'], SpreadReading['surfaceKind']];
	return {
		method,
		surfaceKind,
		// every piece a millimetre wide: areas are looked at, not masses
		blocks: [{ areaMm2, widthAreaMm3: areaMm2, sheetAreaMm2: perClass(() => 0), unjudgedMm2: 0, fieldMm2: FIELD_MM2 }],
		pieces: perClass(() => piece),
		coverageFraction: MATERIAL_CLASSES.reduce((sum, name) => sum + areaMm2[name], 0) / FIELD_MM2,
	};
}

function judged(shares: Float64Array, truth: number) {
	const { low, high } = estimateOf(shares);
	const sorted = shares.slice().sort();
	const off = meanOf(sorted.map((share) => Math.abs(share - truth)));
	// mean distance of two draws, over the sorted ones
	const apart = meanOf(sorted.map((share, i) => (2 * share * (2 * i + 1 - sorted.length)) / sorted.length));
	return {
		holds: low <= truth && truth <= high,
		width: high - low,
		off: Math.abs(meanOf(shares) - truth),
		score: off - apart / 2,
	};
}

function sumOf(counts: readonly number[]): number {
	return counts.slice(0, ERROR_CLASSES).reduce((sum, count) => sum + count, 0);
}
