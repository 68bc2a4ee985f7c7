import { GRADE_CAUSES, type GradeCause } from '../grade/causes';
import type { ErrorRatesByKind } from '../grade/errorRates';
import type { Material } from '../material/material';
import { covarianceOf, standardDeviationOf } from '../quantity/moments';
import { perName } from '../quantity/perName';
import type { Estimate } from '../quantity/quantity';
import { varianceShares } from '../quantity/varianceShares';
import { type Drawn, ratioOfDrawn } from './drawn';
import { type GradedRun, gradeProducts, type WorkedOutRun, workOutRun } from './gradedRun';
import { togetherOf } from './performance';

/** What a figure's interval is made of: the causes of a grade, the checks, and the weights. */
const CAUSES = [...GRADE_CAUSES, 'checks', 'weights'] as const;
export type Cause = (typeof CAUSES)[number];

/** One cause's part of a figure's uncertainty. */
export interface BudgetLine {
	readonly cause: Cause;
	/** Standard deviation of the figure as far as this cause moves it. */
	readonly u: number;
	/** Its share of the variance that all causes together explain, 0 to 1. */
	readonly varianceShare: number;
}

/** A figure with what its interval is made of, largest first. */
export interface Budget {
	readonly figure: Estimate;
	/** Standard deviation with all causes at work together. */
	readonly u: number;
	readonly lines: readonly BudgetLine[];
}

/** Figures as screens and files give them: a budget tells what these are made of, and makes none of its own. */
export type ToldFigures = Pick<WorkedOutRun, 'grades' | 'account'>;

/** Budgets of one run. */
export interface RunBudget {
	/** Copper grade from the photos, by product id; missing where nothing was graded. */
	readonly copperGrade: Readonly<Record<string, Budget>>;
	/** Recovery of copper in all concentrates together; missing where it is not determined. */
	readonly recovery?: Budget;
	/** The run worked out as it stands, with as many draws. */
	readonly today: WorkedOutRun;
}

/** Draws per cause: shares of variance repeat to about 5 % of themselves. Too few for the figure itself, whose limits would wander by a point. */
export const BUDGET_DRAWS = 1000;

/**
 * Share each cause has in the uncertainty of every product's copper grade and of the run's copper recovery.
 *
 * The run is worked out once with everything uncertain, and once per cause with all others held at their best value. The figure as it
 * stands, checks, balance and all, is then regressed on what each cause does to the photos' grades, so that a cause which checks have
 * overruled counts no more. What checks add is the part of a product's copper that its photos do not account for.
 *
 * @param options.told - the run as worked out for all to see: its figures are the ones explained; the budget's own draws where absent
 * @source uncertainty budget: JCGM 100:2008 (GUM) 5.1.3; shares: see `varianceShares`
 */
export function budgetOfRun(
	run: GradedRun,
	material: Material,
	errorRates: ErrorRatesByKind,
	{
		draws = BUDGET_DRAWS,
		seed,
		told,
	}: { readonly draws?: number; readonly seed?: number; readonly told?: ToldFigures } = {},
): RunBudget {
	const options = { draws, ...(seed === undefined ? {} : { seed }) };
	const whole = workOutRun(run, material, errorRates, options);
	const { grades, account } = told ?? whole;
	const aloneWith = (cause: Cause) =>
		workOutRun(run, material, errorRates, { ...options, still: HELD.filter((other) => other !== cause) });
	const alone = perName(GRADE_CAUSES, (cause) => aloneWith(cause).gradeDraws);
	const gradesOf = (ids: readonly string[]) =>
		perName(GRADE_CAUSES, (cause) => ids.flatMap((id) => alone[cause][id]?.copper ?? []));
	const ids = Object.keys(whole.grades).filter((id) => grades[id] !== undefined);
	const recovered = recoveryOf(run, whole);
	const recovery = account.together.concentrate?.recovery.copper;
	return {
		today: whole,
		copperGrade: Object.fromEntries(
			ids.map((id) => [id, budgetOf(grades[id]!.massFraction.copper, whole.gradeDraws[id]!.copper, gradesOf([id]))]),
		),
		...(recovery === undefined || recovered === undefined
			? {}
			: {
					recovery: budgetOf(recovery, recovered.draws, {
						...gradesOf(ids),
						checks: ids.map((id) => besidePhotos(whole.productDraws[id]!.copper, whole.gradeDraws[id]!.copper)),
						weights: massesOf(aloneWith('weights')),
					}),
				}),
	};
}

/**
 * The lines that a run's budget has for one product's copper grade, without the rest of the run.
 *
 * @returns undefined where nothing of the product was graded
 */
export function budgetLinesOf(
	run: GradedRun,
	id: string,
	material: Material,
	errorRates: ErrorRatesByKind,
): Budget['lines'] | undefined {
	const gradeWith = (still: readonly GradeCause[]) =>
		gradeProducts(run, material, errorRates, { draws: BUDGET_DRAWS, still, only: id }).grades.get(id);
	const whole = gradeWith([]);
	if (whole === undefined) return undefined;
	const aloneWith = (cause: GradeCause) => gradeWith(GRADE_CAUSES.filter((other) => other !== cause))!.draws.copper;
	const alone = perName(GRADE_CAUSES, (cause) => [aloneWith(cause)]);
	return budgetOf(whole.tables.massFraction.copper, whole.draws.copper, alone).lines;
}

/** Causes that a working out can hold still: all but the checks, which come after them. */
const HELD = CAUSES.filter((cause) => cause !== 'checks');

/** A figure's budget from its draws and what each cause does in the same worlds; worlds without the figure are left out. */
function budgetOf(
	figure: Estimate,
	draws: Float64Array,
	causes: Readonly<Partial<Record<Cause, readonly Float64Array[]>>>,
): Budget {
	const kept = Array.from(draws.keys()).filter((i) => Number.isFinite(draws[i]));
	const finite = (all: Float64Array) => (kept.length === all.length ? all : Float64Array.from(kept, (i) => all[i]!));
	if (kept.length < 2) return { figure, u: 0, lines: CAUSES.map((cause) => ({ cause, u: 0, varianceShare: 0 })) };
	const given = perName(CAUSES, (cause) => (causes[cause] ?? []).map(finite));
	const effects = varianceShares(finite(draws), given);
	return {
		figure,
		u: standardDeviationOf(finite(draws)),
		lines: CAUSES.filter((cause) => cause !== 'checks' || effects.checks.u > 0)
			.map((cause) => ({ cause, ...effects[cause] }))
			.sort((a, b) => b.varianceShare - a.varianceShare),
	};
}

/** The part of a product's copper, checks taken in, that does not go with what its photos say. */
function besidePhotos(checked: Float64Array, photos: Float64Array): Float64Array {
	if (checked === photos) return new Float64Array(checked.length);
	const variance = covarianceOf(photos, photos);
	const slope = variance > 0 ? covarianceOf(checked, photos) / variance : 0;
	return checked.map((share, i) => share - slope * photos[i]!);
}

/** Dry masses of all streams as far as the weights move them. */
function massesOf({ draws }: WorkedOutRun): Float64Array[] {
	return [draws.feed, ...Object.values(draws.products)].flatMap(({ massKg }) => massKg?.draws ?? []);
}

/** Recovery of copper in all concentrates together. */
export function recoveryOf(run: GradedRun, { draws }: WorkedOutRun): Drawn | undefined {
	const concentrates = run.products.flatMap(({ id, role }) => {
		const stream = draws.products[id];
		return role === 'concentrate' && stream !== undefined ? [stream] : [];
	});
	return ratioOfDrawn(togetherOf(concentrates).contentKg.copper, draws.feed.contentKg.copper);
}
