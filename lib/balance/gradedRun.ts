import { applyChecks, type CheckedGrade } from '../grade/applyChecks';
import { withBlanks } from '../grade/blankRates';
import { type GradeCause, holdStill } from '../grade/causes';
import { type Check, checksOfKind } from '../grade/checkEntry';
import type { ErrorRatesByKind } from '../grade/errorRates';
import type { GradeDraws } from '../grade/gradeDraws';
import { type GradeTables, gradeProduct, type ProductGrade, type ToldFrom } from '../grade/gradeProduct';
import type { IdlePile } from '../grade/idlePile';
import { type Contradiction, type LearnedClass, learnMassPerArea } from '../grade/learnMassPerArea';
import type { Lesson } from '../grade/lesson';
import type { PartialSort } from '../grade/partialSort';
import { type PictureLine, pictureLineOf } from '../grade/pictureLine';
import { drawLocked, drawSharedErrors } from '../grade/sharedErrors';
import { withStrippedCopper } from '../grade/strippedCopper';
import type { Component, ProductRole } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { Estimate, Quantity } from '../quantity/quantity';
import { DEFAULT_DRAWS, DEFAULT_SEED, seededRandom } from '../quantity/seededRandom';
import { type AccountDraws, accountRun } from './account';
import type { AccountInput } from './accountInput';
import { balancedGradeOf, lockedCopperOf, toldFromOf } from './balancedGrade';
import { coarseWeights } from './coarseWeights';
import { dryMassInParts, dryMassOf } from './dryMass';
import type { RunAccount } from './runAccount';
import { blanksOf, sortedSpreadsOf, taughtSortsOf, withChecksInPlace } from './runChecks';
import type { Weighing } from './weighing';

/** One bin of a run: its weighing and what its photos said, where there are any. */
export interface GradedProduct {
	readonly id: string;
	readonly name: string;
	readonly role: ProductRole;
	readonly weighing?: Weighing;
	/** One list a spread, one reading a photo; empty where nothing was photographed or graded. */
	readonly spreads: readonly (readonly SpreadReading[])[];
	/** Checks by hand or by a laboratory; a hand sort names a spread by its place in `spreads`, counted from 1. */
	readonly checks?: readonly Check[];
}

/** A run as weighed and photographed. */
export interface GradedRun {
	/** The run's name: keeps its own sampling and weighing errors apart from those of other runs. */
	readonly runId: string;
	readonly feed?: {
		readonly weighing?: Weighing;
		/** Mass fractions of the dry feed known from elsewhere, a laboratory's for example. */
		readonly grade?: Readonly<Partial<Record<Component, Quantity>>>;
	};
	/** What is known to have left without being caught in a bin. */
	readonly loss?: { readonly weighing: Weighing };
	readonly products: readonly GradedProduct[];
	/** Relative standard uncertainty of each named scale's own error. */
	readonly scales?: Readonly<Record<string, number>>;
	/** Checks of other runs of the same material: what they taught counts here as well. */
	readonly lessons?: readonly Lesson[];
}

/** A run worked out: each product's own grade by id, the reconciled account, and the draws for sums that go on. */
export interface WorkedOutRun {
	readonly grades: Readonly<Record<string, GradeTables>>;
	/** The draws behind `grades`, before weights and balance touch them. */
	readonly gradeDraws: Readonly<Record<string, GradeDraws>>;
	/** The same with each product's checks taken in: what the balance goes on with, and what a product is judged by. */
	readonly productDraws: Readonly<Record<string, GradeDraws>>;
	/** From which shares on each product's components are told from nothing, checks taken in, by id. */
	readonly toldFrom: Readonly<Record<string, ToldFrom>>;
	/** Products with a check: their estimates side by side and together, by id. The balance goes on with these. */
	readonly checked: Readonly<Record<string, Omit<CheckedGrade, 'draws'>>>;
	/** Copper locked in insulation as a share of the dry product, by id, for products with photos: what a photo hardly sees. */
	readonly lockedCopper: Readonly<Record<string, Estimate>>;
	/** What the run's hand sorts say about the material, for all its photos. */
	readonly sorting: {
		readonly learned: readonly LearnedClass[];
		readonly piles: readonly Contradiction[];
		/** Piles that say nothing about it, and why. */
		readonly idle: readonly IdlePile[];
		/** Sorts that leave piles out, so that they tell no grade. */
		readonly partial: readonly Omit<PartialSort, 'check'>[];
	} & PictureLine;
	readonly account: RunAccount;
	readonly draws: AccountDraws;
}

/** How a run is worked out. */
interface WorkingOut {
	readonly draws?: number;
	readonly seed?: number;
	/** Causes held at their best value, for the budget; `'weights'` takes nearly all uncertainty off the weights. */
	readonly still?: readonly (GradeCause | 'weights')[];
}

/**
 * Grade all products of a run with one set of shared errors and balance them with their weights.
 *
 * Densities, shape factors and error rates are drawn once for the whole run: they do not average out over bins.
 *
 * @throws TrayError when a weighing cannot be (tare above gross) or there is no product
 */
export function workOutRun(
	given: GradedRun,
	asked: Material,
	errorRates: ErrorRatesByKind,
	options: WorkingOut = {},
): WorkedOutRun {
	const graded = gradeProducts(given, asked, errorRates, options);
	const { run, sorting, grades } = graded;
	const checked = checkedGradesOf(graded, asked, options);
	const { account, draws } = accountRun(accountInputOf(graded, checked, options));
	const perGraded = <Value>(of: (grade: ProductGrade, id: string) => Value): Readonly<Record<string, Value>> =>
		Object.fromEntries([...grades].map(([id, grade]) => [id, of(grade, id)]));
	return {
		grades: perGraded(({ tables }) => tables),
		gradeDraws: perGraded((grade) => grade.draws),
		productDraws: perGraded((grade, id) => checked.get(id)?.draws ?? grade.draws),
		toldFrom: perGraded((grade, id) => toldFromOf(grade, checked.get(id))),
		checked: Object.fromEntries([...checked].map(([id, { draws: _, ...told }]) => [id, told])),
		lockedCopper: perGraded((grade, id) => lockedCopperOf(checked.get(id)?.draws ?? grade.draws)),
		sorting: {
			learned: sorting.learned,
			piles: sorting.piles,
			idle: sorting.idle,
			partial: sorting.partial.map(({ label, unweighed }) => ({ label, unweighed })),
			...pictureLineOf(
				[...sortedSpreadsOf(run), ...taughtSortsOf(run.lessons ?? [])].filter(({ check }) =>
					tellsGrade(check, sorting),
				),
				asked,
			),
		},
		account: { ...account, warnings: [...account.warnings, ...coarseWeights(run)] },
		draws,
	};
}

/** Products that have checks, their copper by every way there is; by id. */
function checkedGradesOf(
	{ run, sorting, grades }: GradedProducts,
	asked: Material,
	{ seed = DEFAULT_SEED }: WorkingOut,
): ReadonlyMap<string, CheckedGrade> {
	return new Map(
		run.products.flatMap((product) => {
			const { id, checks = [], spreads } = product;
			if (checks.length === 0) return [];
			const grade = grades.get(id);
			const checkedGrade = applyChecks({
				checks: checks.filter((check) => tellsGrade(check, sorting)),
				spreads,
				photo: grade?.draws,
				told: grade?.tables.massFraction.copper,
				material: strippedMaterialOf(product, run, asked),
				densities: sorting.shared.densityKgPerM3,
				seed,
			});
			return checkedGrade === undefined ? [] : [[id, checkedGrade] as const];
		}),
	);
}

/** False for a sort that leaves piles out. */
function tellsGrade(check: Check, { partial }: GradedProducts['sorting']): boolean {
	return !partial.some((one) => one.check === check);
}

/** What the balance goes by: weights, and grades with their checks taken in. */
function accountInputOf(
	{ run: { runId, feed, loss, products, scales }, grades }: GradedProducts,
	checked: ReadonlyMap<string, CheckedGrade>,
	{ draws = DEFAULT_DRAWS, seed = DEFAULT_SEED, still = [] }: WorkingOut,
): AccountInput {
	const massOf = (weighing: Weighing | undefined) =>
		weighing === undefined ? {} : weighed(weighing, still.includes('weights'));
	return {
		runId,
		seed,
		drawCount: draws,
		...(feed === undefined
			? {}
			: { feed: { ...massOf(feed.weighing), ...(feed.grade === undefined ? {} : { grade: feed.grade }) } }),
		...(loss === undefined ? {} : { statedLoss: massOf(loss.weighing) }),
		products: products.map(({ id, name, role, weighing }) => ({
			id,
			name,
			role,
			...massOf(weighing),
			...balancedGradeOf(grades.get(id), checked.get(id), seed),
		})),
		...(scales === undefined ? {} : { scales }),
	};
}

/** Products of a run graded from their photos, and what that went by. */
interface GradedProducts {
	/** With its checks in place. */
	readonly run: GradedRun;
	readonly sorting: ReturnType<typeof learnMassPerArea>;
	/** By product id. */
	readonly grades: ReadonlyMap<string, ProductGrade>;
}

/**
 * The first half of `workOutRun`: what the photos say, before single products' checks and the balance.
 *
 * @param options.only - the one product that is graded, by id, in the very draws it has among all
 */
export function gradeProducts(
	given: GradedRun,
	asked: Material,
	errorRates: ErrorRatesByKind,
	{
		draws = DEFAULT_DRAWS,
		seed = DEFAULT_SEED,
		still = [],
		only,
	}: WorkingOut & { readonly only?: string | undefined } = {},
): GradedProducts {
	const run = withChecksInPlace(given);
	const { lessons = [] } = run;
	const rates = withBlanks(errorRates, blanksOf(lessons));
	const sorting = learnMassPerArea(drawSharedErrors(asked, rates, draws, seed), asked, [
		...sortedSpreadsOf(run),
		...taughtSortsOf(lessons),
	]);
	const held = still.filter((cause) => cause !== 'weights');
	const shared = holdStill(sorting.shared, held);
	const gradeOne = (product: GradedProduct) => {
		const material = strippedMaterialOf(product, run, asked);
		if (material === asked) return gradeProduct(product.spreads, asked, shared);
		// bins that the same strips tell of hold the same share in every draw
		const random = seededRandom(seed, 'stripped', JSON.stringify(material.lockedCopperPerInsulation));
		const locked = drawLocked(material, draws, random);
		return gradeProduct(product.spreads, material, holdStill({ ...sorting.shared, locked }, held));
	};
	const grades = new Map<string, ProductGrade>(
		run.products.flatMap((product) =>
			product.spreads.length > 0 && (only ?? product.id) === product.id ? [[product.id, gradeOne(product)]] : [],
		),
	);
	return { run, sorting, grades };
}

/** The material with its locked copper as strips of the product and of bins of its kind found it. */
function strippedMaterialOf(
	{ id, role, checks = [] }: GradedProduct,
	{ products, lessons = [] }: GradedRun,
	asked: Material,
): Material {
	const others = [
		...products.filter((one) => one.id !== id && one.role === role).flatMap((one) => one.checks ?? []),
		...lessons.filter((lesson) => (lesson.role ?? role) === role).map(({ check }) => check),
	];
	return withStrippedCopper(asked, checks, checksOfKind(others, 'strip'));
}

/** A thousandth of the weights' uncertainty stays when they are held still: the balance needs to know which to trust. */
const HELD_WEIGHT = 1e-3;

function weighed(weighing: Weighing, isHeld: boolean): ReturnType<typeof dryMassInParts> {
	if (!isHeld) return dryMassInParts(weighing);
	const { value, u } = dryMassOf(weighing);
	return { dryMassKg: { value, u: HELD_WEIGHT * u } };
}
