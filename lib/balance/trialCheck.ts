import type { Check } from '../grade/checkEntry';
import type { ErrorRatesByKind } from '../grade/errorRates';
import { nominalMassG } from '../grade/samplingVariance';
import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { dryMassOf, netMassOf } from './dryMass';
import type { GradedProduct, GradedRun, WorkedOutRun } from './gradedRun';
import { withChecksInPlace } from './runChecks';
import type { Weighing } from './weighing';

/** What a person can do next to narrow a figure. */
export const ACTIONS = ['spread', 'handSort', 'strip', 'blank', 'weigh', 'moisture'] as const;
export type Action = (typeof ACTIONS)[number];

/** Scales and sizes that a tried check is taken to be done with: a pocket scale of 0.01 g, fifty pieces, 100 g dried. */
const [SCALE_STEP_G, PIECES_STRIPPED, DRIED_G] = [0.01, 50, 100] as const;

/**
 * The run as it would stand if an action on a product found what is expected of it today.
 *
 * - One more spread looks like the last one. A sort finds the masses that areas and widths give. Fifty stripped pieces hold the
 *   locked share that is estimated now. A blank shows as many false calls as usual. A weight comes from a scale with half the step.
 *   A dried sub-sample of 100 g finds the moisture that is taken now.
 *
 * @returns undefined where the action can't be done on this product
 */
export function afterAction(
	run: GradedRun,
	product: GradedProduct,
	action: Action,
	today: WorkedOutRun,
	material: Material,
	errorRates: ErrorRatesByKind,
): GradedRun | undefined {
	if (action === 'blank') return withTriedBlank(run, product, errorRates);
	const changed = changedProduct(product, action, today, material);
	if (changed === undefined) return undefined;
	return withChecksInPlace({ ...run, products: run.products.map((one) => (one.id === product.id ? changed : one)) });
}

function changedProduct(
	product: GradedProduct,
	action: Exclude<Action, 'blank'>,
	today: WorkedOutRun,
	material: Material,
): GradedProduct | undefined {
	const { spreads, checks = [], weighing } = product;
	const last = spreads.at(-1);
	const withCheck = (check: Check | undefined) =>
		check === undefined ? undefined : { ...product, checks: [...checks, check] };
	switch (action) {
		case 'spread':
			return last === undefined ? undefined : { ...product, spreads: [...spreads, last] };
		case 'handSort':
			return withCheck(triedSort(product, material));
		case 'strip':
			return withCheck(triedStrip(product, today, material));
		case 'weigh':
			return weighing === undefined ? undefined : { ...product, weighing: finer(weighing) };
		case 'moisture':
			return weighing?.moisture === undefined || weighing.moisture.kind === 'dried'
				? undefined
				: withCheck(triedDrying(weighing));
	}
}

/** A sort of the first spread that was not sorted yet. */
function triedSort({ spreads, checks = [] }: GradedProduct, material: Material): Check | undefined {
	const sorted = new Set(checks.flatMap((check) => (check.kind === 'handSort' ? [check.spread - 1] : [])));
	const s = spreads.findIndex((photos, k) => photos.length > 0 && !sorted.has(k));
	const reading = spreads[s]?.[0];
	if (reading === undefined) return undefined;
	const piles = perClass((name) => ({ massG: massOf(reading, name, material), stepG: SCALE_STEP_G }));
	return { kind: 'handSort', spread: s + 1, piles };
}

function massOf({ blocks }: SpreadReading, name: MaterialClass, material: Material): number {
	return blocks.reduce((sum, block) => sum + nominalMassG(block, name, material), 0);
}

function triedStrip({ id, spreads }: GradedProduct, today: WorkedOutRun, material: Material): Check | undefined {
	const reading = spreads[0]?.[0];
	const locked = today.lockedCopper[id]?.value;
	const insulation = today.grades[id]?.massFraction.insulation.value;
	if (reading === undefined || locked === undefined || insulation === undefined) return undefined;
	const { count } = reading.pieces.insulation;
	if (count === 0 || !(locked + insulation > 0)) return undefined;
	const beforeG = (PIECES_STRIPPED * massOf(reading, 'insulation', material)) / count;
	const copperG = (beforeG * locked) / (locked + insulation);
	return {
		kind: 'strip',
		picks: PIECES_STRIPPED,
		before: { massG: beforeG, stepG: SCALE_STEP_G },
		copper: { massG: copperG, stepG: SCALE_STEP_G },
	};
}

function finer(weighing: Weighing): Weighing {
	const { resolutionKg, tareResolutionKg = resolutionKg, repeatabilityKg } = weighing;
	return {
		...weighing,
		resolutionKg: resolutionKg / 2,
		tareResolutionKg: tareResolutionKg / 2,
		repeatabilityKg: repeatabilityKg / 2,
	};
}

function triedDrying(weighing: Weighing): Check | undefined {
	const dryShare = dryMassOf(weighing).value / netMassOf(weighing).value;
	if (!(dryShare > 0 && dryShare <= 1)) return undefined;
	return {
		kind: 'moisture',
		wet: { massG: DRIED_G, stepG: SCALE_STEP_G },
		dry: { massG: DRIED_G * dryShare, stepG: SCALE_STEP_G },
	};
}

/** A spread of clean insulation as large as the product's first, with the usual false calls. */
function withTriedBlank(
	run: GradedRun,
	{ name, spreads }: GradedProduct,
	errorRates: ErrorRatesByKind,
): GradedRun | undefined {
	const reading = spreads[0]?.[0];
	if (reading === undefined) return undefined;
	const { rate, logSd } = errorRates[`${reading.method}-${reading.surfaceKind}`];
	const insulation = MATERIAL_CLASSES.indexOf('insulation') + 1;
	const areaMm2 = MATERIAL_CLASSES.reduce(
		(sum, one) => sum + reading.blocks.reduce((total, block) => total + block.areaMm2[one], 0),
		0,
	);
	const count = MATERIAL_CLASSES.reduce((sum, one) => sum + reading.pieces[one].count, 0);
	const usual = (one: MaterialClass) => {
		const j = MATERIAL_CLASSES.indexOf(one) + 1;
		// the middle of a log-normal rate, its mean taken down
		return j === insulation ? 1 : rate[insulation]![j]! * Math.exp(-(logSd[insulation]![j]! ** 2) / 2);
	};
	const none = perClass(() => 0);
	const block = { areaMm2: perClass((one) => areaMm2 * usual(one)), widthAreaMm3: none, sheetAreaMm2: none };
	const pieces = perClass((one) => ({
		count: Math.round(count * usual(one)),
		meanWidthAreaMm3: 0,
		weightedMeanWidthAreaMm3: 0,
		medianWidthMm: 0,
	}));
	const blank: SpreadReading = { ...reading, blocks: [{ ...block, unjudgedMm2: 0, fieldMm2: areaMm2 }], pieces };
	const check = { kind: 'blank', spread: 1, freeOf: ['copper', 'aluminium'] } as const;
	const lesson = { label: `a blank beside ${name}`, check: { ...check, freeOf: [...check.freeOf] }, reading: blank };
	return { ...run, lessons: [...(run.lessons ?? []), lesson] };
}
