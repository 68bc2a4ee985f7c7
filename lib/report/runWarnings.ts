import type { BalanceWarning } from '../balance/balanceWarning';
import type { WorkedOutRun } from '../balance/gradedRun';
import type { PhotoWarning } from '../photo/photoWarning';
import { contradictionSentence, disagreementSentence, impossibleSentence, partialSentence } from './checkSentences';
import { plainly } from './presentation';
import { warningsBySpread } from './recordSeen';
import { DEMONSTRATION_SENTENCE } from './sentences';

/** That a run is invented, before all else that its file tells; nothing of others. */
export function demoWarnings(isDemo: boolean | undefined): readonly BalanceWarning[] {
	return isDemo ? [{ code: 'demonstration', message: DEMONSTRATION_SENTENCE }] : [];
}

/**
 * What a run's checks say against each other or against its photos: it moves figures of other products too, so it stands beside the
 * balance's own warnings wherever these go. Written plainly.
 */
export function checkWarnings({
	checked,
	sorting,
}: Pick<WorkedOutRun, 'checked' | 'sorting'>): readonly BalanceWarning[] {
	return plainly(() => {
		const contradiction = contradictionSentence(sorting);
		return [
			...(contradiction === undefined ? [] : [{ code: 'sort-contradicts', message: contradiction }]),
			...sorting.partial.map((one) => ({ code: 'sort-without-grade', message: partialSentence(one) })),
			...Object.entries(checked).flatMap(([label, found]): BalanceWarning[] => {
				const disagreement = disagreementSentence(found);
				return [
					...(disagreement === undefined ? [] : [{ code: 'estimates-disagree', message: `${label}: ${disagreement}` }]),
					...(found.impossible ?? []).map((one) => ({
						code: 'displacement-impossible',
						message: `${label}: ${impossibleSentence(one)}`,
					})),
				];
			}),
		];
	});
}

/**
 * Warnings of a run's photos with the names of their products, for files in which no photo stands by itself. A picture that stands in several
 * places is told once: its warning names them all.
 */
export function photoWarnings(
	products: readonly {
		readonly label: string;
		readonly photos: readonly { readonly spread: number; readonly warnings: readonly PhotoWarning[] }[];
	}[],
): readonly BalanceWarning[] {
	const twice = new Set<string>();
	const others = products.flatMap(({ label, photos }) =>
		warningsBySpread(
			photos.map(({ spread, warnings }) => ({
				spread,
				warnings: warnings.filter(({ code, message }) => code !== 'same-picture' || !twice.add(message)),
			})),
		).map((message) => `${label}: ${message}`),
	);
	return [...others, ...twice].map((message) => ({ code: 'photo', message }));
}
