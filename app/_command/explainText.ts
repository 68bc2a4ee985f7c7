import type { Explained } from '@/lib/balance/explainRun';
import {
	ACTION_NAMES,
	agreementSentence,
	CAUSE_NAMES,
	idleSentence,
	impossibleSentence,
	learnedSentence,
	magnetSentence,
	nextSentence,
	ORIGIN_NAMES,
	pictureLineSentence,
	printVarianceShare,
	samplingSentence,
} from '@/lib/report/checkSentences';
import { printShare } from '@/lib/report/format';
import type { GradedBin, RunResult } from './gradeRun';

/** What checks say about one bin, and its locked copper; empty where neither is known. */
export function checkedLines({ checked, lockedCopper }: GradedBin): readonly string[] {
	const locked =
		lockedCopper === undefined
			? []
			: [`  copper locked in insulation, of the dry product: ${printShare(lockedCopper)}`];
	if (checked === undefined) return locked;
	const magnet = magnetSentence(checked);
	return [
		...locked,
		...checked.estimates.map(
			(estimate) => `  copper by ${ORIGIN_NAMES[estimate.origin].toLowerCase()}: ${printShare(estimate)}`,
		),
		`  copper together: ${printShare(checked.combined)}. ${agreementSentence(checked)}`,
		...(checked.impossible ?? []).map((one) => `  ! ${impossibleSentence(one)}`),
		...(magnet === undefined ? [] : [`  ${magnet}`]),
	];
}

/** What the hand sorts say about the material; empty without any. */
export function sortingLines({ sorting }: RunResult): readonly string[] {
	if (sorting === undefined) return [];
	const line = pictureLineSentence(sorting);
	return [
		'Mass per area by hand sorts',
		...sorting.learned.map((one) => `  ${learnedSentence(one)}`),
		...sorting.idle.map((one) => `  ${idleSentence(one)}`),
		...(line === undefined ? [] : [`  ${line}`]),
	];
}

/** Why each range is as wide as it is; empty unless asked for. */
export function explainedLines({ explained, products }: RunResult): readonly string[] {
	if (explained === undefined) return [];
	return [
		...products.flatMap(({ id, name }) => {
			const found = explained.products[id];
			if (found === undefined) return [];
			return [`Why this range: copper in ${name}`, ...budgetLines(found), `  ${samplingSentence(found)}`];
		}),
		...(explained.recovery === undefined
			? []
			: [
					`Why this range: copper recovered in the concentrates${explained.recovery.unlessLost ? ', if nothing was lost' : ''}`,
					...budgetLines(explained.recovery),
				]),
	];
}

function budgetLines(explained: Explained): readonly string[] {
	const { budget, next } = explained;
	return [
		`  ${printShare(budget.figure)}`,
		...budget.lines.map(
			({ cause, varianceShare }) => `  ${printVarianceShare(varianceShare).padStart(9)}  ${CAUSE_NAMES[cause]}`,
		),
		`  ${nextSentence(explained)}`,
		...next
			.slice(1)
			.map(
				({ action, product, expected }) => `  then, on ${product}: ${ACTION_NAMES[action]}: ${printShare(expected)}`,
			),
	];
}
