import type { Component, ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import type { AccountDraws } from './account';
import { isFarFromClosing } from './closure';
import { COMPARED_FIGURES, type ComparedFigure } from './comparedFigures';
import { type Settle, settleOf } from './compareSettle';
import { cannotCompareOf } from './compareWarnings';
import { loweredDraws, raisedDraws } from './detectionCeiling';
import { chanceAboveZero, type Drawn, drawnFrom, estimateOfDrawn, estimateReaching } from './drawn';
import { performanceOf, togetherOf } from './performance';
import type { RunAccount } from './runAccount';

/** A run that was worked out, ready to be set against another one. */
export interface ComparableRun {
	readonly name: string;
	readonly account: RunAccount;
	readonly draws: AccountDraws;
	/** Name of the lot it was fed from. */
	readonly lot?: string;
	/** What tells the lot from others of its name: its id, or where it is from. */
	readonly lotMark?: string | undefined;
	/** Name of the material its photos were read with. */
	readonly material?: string;
	/** The first run after a change, without washing the table through. */
	readonly firstAfterChange?: boolean;
	/** How many spreads of each product were graded, by the product's id in the account. */
	readonly spreads?: Readonly<Record<string, number>>;
	/** Sentences on photos of it that its figures leave out, or that an earlier version of the program read. */
	readonly ofPhotos?: readonly string[];
}

/** One figure of both runs and how much the second lies above the first. */
export interface Difference extends ComparedFigure {
	readonly base: Estimate;
	readonly other: Estimate;
	/**
	 * Other minus base, from joint draws, so that what both runs share cancels. Where a figure is below detection its range reaches as
	 * far as that figure's limit, and the value says nothing.
	 */
	readonly difference: Estimate;
	/** Probability that the other run's figure is the larger one; missing where both are below detection. */
	readonly probabilityHigher?: number;
	/** Probability that the difference is an improvement; missing where higher is neither better nor worse. */
	readonly probabilityBetter?: number;
	/** The 95 % interval of the difference leaves out zero. */
	readonly isClear: boolean;
}

/** One run against the first one. */
export interface RunComparison {
	readonly base: string;
	readonly other: string;
	readonly differences: readonly Difference[];
	/** Figures that only one of the two runs has. */
	readonly notCompared: readonly ComparedFigure[];
	/** What would tell the runs apart by copper recovered, where that is open; `never` where no number of spreads worth laying would. */
	readonly settle?: Settle | 'never';
	/** Runs whose balance fails so badly that what was recovered is not claimed either way, by name. */
	readonly unclosed: readonly string[];
	/** What can't be compared and why, and what weakens the rest: plain sentences. */
	readonly warnings: readonly string[];
}

/**
 * Every run set against the first one: yields, grades, recoveries and losses of both, and each difference with its
 * 95 % interval.
 *
 * Draws of one index belong together in all runs (same densities, thicknesses, colour errors and scales), so errors that
 * the runs share cancel in the difference as far as they act alike; each run's own sampling and weighing errors do not.
 * Limit: the interval is about these two runs. How much a run at the same settings would differ from itself is not in
 * it; only repeated runs show that.
 *
 * @param runs - two or more, drawn with one seed and count; names all different
 * @throws RangeError when there are fewer than two runs, two of one name, or their draws don't belong together
 * @source JCGM 101:2008 6.4.9 and 7.4 (joint draws carry correlation); JCGM 102:2011 7
 */
export function compareRuns(runs: readonly ComparableRun[]): readonly RunComparison[] {
	const [base, ...others] = runs;
	if (base === undefined || others.length === 0) throw new RangeError('compareRuns needs at least two runs');
	if (new Set(runs.map(({ name }) => name)).size < runs.length)
		throw new RangeError('runs that are compared need names of their own');
	for (const { account } of others) {
		if (account.seed !== base.account.seed || account.drawCount !== base.account.drawCount)
			throw new RangeError('runs that are compared must be drawn with one seed and count');
	}
	return others.map((other) => {
		const unclosed = [base, other].filter(({ account }) => isFarFromClosing(account)).map(({ name }) => name);
		const differences = COMPARED_FIGURES.flatMap((figure) => {
			const difference = differenceOf(figure, figureOf(base, figure), figureOf(other, figure), {
				base: limitedOf(base, figure),
				other: limitedOf(other, figure),
			});
			return difference === undefined ? [] : [unclosed.length > 0 ? unclaimed(difference) : difference];
		});
		return {
			base: base.name,
			other: other.name,
			differences,
			unclosed,
			notCompared: COMPARED_FIGURES.filter(
				(figure) => (figureOf(base, figure) === undefined) !== (figureOf(other, figure) === undefined),
			),
			...(unclosed.length > 0 ? {} : settled(base, other)),
			warnings: cannotCompareOf(base, other),
		};
	});
}

/** A difference whose figures rest on a balance that fails: shown, but nothing is claimed from it. */
function unclaimed(difference: Difference): Difference {
	if (difference.figure === 'grade' && difference.stream !== 'feed') return difference;
	const { probabilityHigher: _, probabilityBetter: __, ...rest } = difference;
	return { ...rest, isClear: false };
}

/** What would settle the copper recovered, where its difference is open. */
function settled(base: ComparableRun, other: ComparableRun): Pick<RunComparison, 'settle'> {
	const [first, second] = [base, other].map((run) => figureOf(run, COMPARED_FIGURES[0]!));
	const difference = differenceOf(COMPARED_FIGURES[0]!, first, second);
	if (first === undefined || second === undefined || difference === undefined || difference.isClear) return {};
	const drawn = drawnFrom([second, first], (b, a) => b - a);
	const settle = settleOf(base, other, drawn, ({ spreads }, id) => spreads?.[id] ?? 0);
	return settle === undefined ? {} : { settle };
}

/** What a figure comes to where a run's bins hold all that their limits of detection leave open. */
interface Limited {
	/** The figure itself can't be told from nothing. */
	readonly isBelow: boolean;
	/** It with the bins of its own stream raised and all others lowered, with these raised, and with all lowered. */
	readonly worlds: readonly Drawn[];
}

/**
 * The difference of one figure.
 *
 * @param base - draws aligned with those of `other`
 * @param limited - per run, what limits of detection leave open; absent where they bear on nothing
 * @returns undefined where either is missing
 */
export function differenceOf(
	figure: ComparedFigure,
	base: Drawn | undefined,
	other: Drawn | undefined,
	limited: { readonly base?: Limited | undefined; readonly other?: Limited | undefined } = {},
): Difference | undefined {
	if (base === undefined || other === undefined) return undefined;
	const minus = (more: Drawn, less: Drawn) => drawnFrom([more, less], (b, a) => b - a);
	const drawn = minus(other, base);
	const [first, second] = [limitedEstimate(base, limited.base), limitedEstimate(other, limited.other)];
	const worlds = [
		...(limited.base?.worlds ?? []).map((world) => minus(other, world)),
		...(limited.other?.worlds ?? []).map((world) => minus(world, base)),
	];
	const told = estimateReaching(drawn, ...worlds);
	if (first === undefined || second === undefined || told === undefined) return undefined;
	const [baseIsBelow, otherIsBelow] = [limited.base?.isBelow === true, limited.other?.isBelow === true];
	const difference = { ...told, ...(baseIsBelow || otherIsBelow ? { belowDetectionLimit: true } : {}) };
	const probabilityHigher = baseIsBelow && otherIsBelow ? undefined : chanceAboveZero([drawn, ...worlds]);
	const isGraded = figure.better !== 'neither' && probabilityHigher !== undefined;
	return {
		...figure,
		base: first,
		other: second,
		difference,
		...(probabilityHigher === undefined ? {} : { probabilityHigher }),
		...(isGraded ? { probabilityBetter: figure.better === 'higher' ? probabilityHigher : 1 - probabilityHigher } : {}),
		isClear: difference.low > 0 || difference.high < 0,
	};
}

function limitedEstimate(figure: Drawn, limited: Limited | undefined): Estimate | undefined {
	return limited?.isBelow
		? estimateOfDrawn(figure, limited.worlds[0])
		: estimateReaching(figure, ...(limited?.worlds ?? []));
}

/** What limits of detection of a run's bins leave open of a figure; undefined where they bear on nothing. */
function limitedOf(run: ComparableRun, of: ComparedFigure): Limited | undefined {
	const { stream, figure, component } = of;
	const { account, draws } = run;
	if (figure === 'yield') return undefined;
	const group = stream === 'feed' ? undefined : account.together[stream];
	const told =
		stream === 'feed'
			? account.feed.massFraction.reconciled
			: figure === 'grade'
				? group?.massFraction
				: group?.recovery;
	const isBelow = component !== undefined && told?.[component]?.belowDetectionLimit === true;
	const isOwn = ({ role }: { readonly role: ProductRole }) => stream === 'feed' || role === stream;
	const isMeasured = account.feed.gradeOrigin === 'measured';
	const emptied = isMeasured ? draws : loweredDraws(run, (product) => !isOwn(product));
	const own = raisedDraws({ account, draws: emptied }, isOwn);
	const besides = isBelow ? [] : [...(isMeasured ? [] : [raisedDraws(run, (one) => !isOwn(one))]), loweredDraws(run)];
	const worlds = [own, ...besides].flatMap((changed) => {
		const world = changed === draws ? undefined : figureOf({ account, draws: changed }, of);
		return world === undefined ? [] : [world];
	});
	return worlds.length === 0 ? (isBelow ? belowAsDrawn(run, of) : undefined) : { isBelow, worlds };
}

/** A figure below detection whose draws reach its limit. */
function belowAsDrawn(run: ComparableRun, of: ComparedFigure): Limited | undefined {
	const figure = figureOf(run, of);
	return figure && { isBelow: true, worlds: [figure] };
}

/** One figure of a run as draws; undefined where it can't be worked out. */
export function figureOf(
	run: Pick<ComparableRun, 'account' | 'draws'>,
	{ stream, figure, component }: Pick<ComparedFigure, 'stream' | 'figure' | 'component'>,
): Drawn | undefined {
	if (stream === 'feed') return component && run.draws.feed.massFraction[component];
	const group = groupDrawsOf(run, stream);
	if (group === undefined) return undefined;
	const { massFraction, performance } = group;
	// what is not told of a run by itself is not compared either
	const told = run.account.together[stream];
	if (figure === 'yield' && told?.yieldFraction === undefined) return undefined;
	if (figure === 'efficiency' && told?.separationEfficiency === undefined) return undefined;
	if (figure === 'recovery' && (component === undefined || told?.recovery[component] === undefined)) return undefined;
	if (figure === 'yield') return performance.yieldFraction;
	if (figure === 'efficiency') return performance.separationEfficiency;
	return component && (figure === 'grade' ? massFraction[component] : performance.recovery[component]);
}

/** All products of one role as if poured together; undefined where the run has none. */
function groupDrawsOf({ account, draws }: Pick<ComparableRun, 'account' | 'draws'>, role: ProductRole) {
	const members = account.products.flatMap(({ id, role: own }) => (own === role ? [draws.products[id]!] : []));
	if (members.length === 0) return undefined;
	const together = togetherOf(members);
	return { massFraction: together.massFraction, performance: performanceOf(together, draws.feed) };
}

/** Grade and recovery of a run's concentrates as draws, for a plot of one against the other. */
export function gradeAndRecoveryOf(
	run: Pick<ComparableRun, 'account' | 'draws'>,
	component: Component,
): { readonly grade: Drawn; readonly recovery: Drawn } | undefined {
	const grade = figureOf(run, { stream: 'concentrate', figure: 'grade', component });
	const recovery = figureOf(run, { stream: 'concentrate', figure: 'recovery', component });
	return grade && recovery && { grade, recovery };
}
