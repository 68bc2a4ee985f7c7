import sharp from 'sharp';
import { ERROR_CLASSES, READING_KINDS } from '@/lib/grade/errorRates';
import { gradeProduct } from '@/lib/grade/gradeProduct';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { drawSpread } from '@/lib/grade/spreadDraws';
import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass, perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { Material } from '@/lib/material/material';
import { readSpread } from '@/lib/particles/readSpread';
import { surfaceFromCorners } from '@/lib/photo/tray';
import { meanOf } from '@/lib/quantity/moments';
import { perName } from '@/lib/quantity/perName';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '@/lib/quantity/seededRandom';
import { fieldBoxOf } from '@/lib/segmentation/fieldBox';
import { median } from './accuracySummary';
import type { TrayTruth } from './trayTruth';

/** One picture's true class map taken to masses: what that step gets wrong by itself. */
export interface ScoredMap {
	readonly picture: string;
	readonly product: string;
	/** Free copper, estimated less true, percentage points; the second with locked copper left out of both. */
	readonly errorPoints: number;
	readonly unlockedErrorPoints: number;
	readonly holds: boolean;
	/** Estimated over true mass, locked cores left out of both; null where there is none. */
	readonly massOverTruth: Readonly<Record<MaterialClass, number | null>>;
}

/** Nothing is called wrongly on a true map. */
const NO_ERRORS = perName(READING_KINDS, () => {
	const codes = Array.from({ length: ERROR_CLASSES }, (_, k) => k);
	const rate = codes.map((k) => codes.map((j) => Number(k === j)));
	return { source: 'true class map', scenes: 1, rate, logSd: codes.map(() => codes.map(() => 0)) };
});
/** The truth counts wires whole, tin and all: so do the grades that are set against it. */
const WHOLE_WIRES: Material = {
	...DEFAULT_MATERIAL,
	classes: {
		...DEFAULT_MATERIAL.classes,
		brightCopper: { ...DEFAULT_MATERIAL.classes.brightCopper, copperFraction: { value: 1, u: 0 } },
		tinnedCopper: { ...DEFAULT_MATERIAL.classes.tinnedCopper, copperFraction: { value: 1, u: 0 } },
	},
};
const shared = drawSharedErrors(WHOLE_WIRES, NO_ERRORS, DEFAULT_DRAWS, DEFAULT_SEED);

/** Masses and grade of one picture from its class mask and its field's true corners. */
export async function scoreTrueMap(picture: string, maskFile: string, truth: TrayTruth): Promise<ScoredMap> {
	const mask = await readMask(maskFile);
	const corners = truth.field_corners_px.map(([x, y]) => ({ x, y }));
	const surface = surfaceFromCorners(corners, ...truth.field_mm, mask);
	const { inside, ...box } = fieldBoxOf(mask, surface);
	const labels = inside.map((isInside, i) => {
		const [column, row] = [(i % box.width) + box.columnOffset, Math.floor(i / box.width) + box.rowOffset];
		return isInside === 1 ? mask.data[row * mask.width + column]! : 0;
	});
	const reading = readSpread({ ...box, labels }, surface, 'model');
	const { classMassFraction, massFraction } = gradeProduct([[reading]], WHOLE_WIRES, shared).tables;
	const { massG } = drawSpread(reading, WHOLE_WIRES, shared, ['photo', '0']);
	const trueG = (name: MaterialClass) =>
		(truth.mass_g_by_class[CLASS_CODE[name]] ?? 0) - (name === 'brightCopper' ? truth.locked_copper_mass_g : 0);
	const metal = (of: (name: MaterialClass) => number) => of('brightCopper') + of('tinnedCopper');
	const all = MATERIAL_CLASSES.reduce((sum, name) => sum + trueG(name), 0);
	const free = freeCopperOf(truth);
	const { value, low, high } = massFraction.freeCopper;
	return {
		picture,
		product: truth.product,
		errorPoints: 100 * (value - free),
		unlockedErrorPoints: 100 * (metal((name) => classMassFraction[name].value) - metal(trueG) / all),
		holds: low <= free && free <= high,
		massOverTruth: perClass((name) => (trueG(name) > 0 ? meanOf(massG[name]) / trueG(name) : null)),
	};
}

/** Copper and tinned copper that no insulation holds, as a share of the whole. */
export function freeCopperOf(truth: TrayTruth): number {
	return truth.copper_plus_tinned_mass_fraction - truth.locked_copper_mass_fraction;
}

/** Class codes of a mask picture, one byte a pixel. */
export async function readMask(file: string): Promise<{ data: Uint8Array; width: number; height: number }> {
	const { data, info } = await sharp(file).extractChannel(0).raw().toBuffer({ resolveWithObject: true });
	return { data, width: info.width, height: info.height };
}

/** Kinds of product by a word of the truth file; the first that fits counts. */
const KINDS = ['aluminium', 'concentrate', 'middlings', 'tailings', 'blank'];

/** Medians over each kind of product, as a person reads them. */
export function trueMapText(scored: readonly ScoredMap[]): string {
	const rows = KINDS.flatMap((kind) => {
		const own = scored.filter(({ product }) => KINDS.find((word) => product.includes(word)) === kind);
		if (own.length === 0) return [];
		const off = (of: (map: ScoredMap) => number) => median(own.map((map) => Math.abs(of(map))))?.toFixed(2);
		const ratios = MATERIAL_CLASSES.map(
			(name) =>
				`${name} ${median(own.flatMap(({ massOverTruth }) => massOverTruth[name] ?? []))?.toFixed(2) ?? 'none'}`,
		);
		return [
			`  ${kind}, ${own.length}: free copper off by ${off((map) => map.errorPoints)} points in the middle case, ${off((map) => map.unlockedErrorPoints)} with locked copper left out; ${own.filter(({ holds }) => holds).length} held`,
			`    mass over truth: ${ratios.join(', ')}`,
		];
	});
	return ['TRUE CLASS MAP, the step from areas to masses by itself', ...rows].join('\n');
}
