import 'server-only';
import type { BalanceWarning } from '../balance/balanceWarning';
import { carryOverWarning } from '../report/carryOver';
import { leftOutSentence } from '../report/progressSentences';
import { checkWarnings, demoWarnings, photoWarnings } from '../report/runWarnings';
import type { WorkedRun } from './analysis';
import { labelsOf } from './runProducts';
import { type RunBoard, unreadPhotosOf } from './workedRun';

/** All that the reader of a run's file must know: that it is a demonstration, the balance's warnings, its checks' and its photos', and how many of these the figures leave out. */
export function warningsOfBoard({ run, products }: RunBoard, worked: WorkedRun): readonly BalanceWarning[] {
	const labels = labelsOf(products);
	const seen = products.map(({ id, spreads }) => ({
		label: labels.get(id) ?? '',
		photos: spreads.flatMap(({ number, photos }) =>
			photos.map(({ analysis }) => ({ spread: number, warnings: analysis?.warnings ?? [] })),
		),
	}));
	const leftOut = products.flatMap((product): BalanceWarning[] => {
		const sentence = leftOutSentence(unreadPhotosOf(product));
		return sentence === undefined
			? []
			: [{ code: 'photos-left-out', message: `${labels.get(product.id)}: ${sentence}` }];
	});
	return [
		...demoWarnings(run.demo),
		...worked.account.warnings,
		...checkWarnings(worked),
		...leftOut,
		...photoWarnings(seen),
	];
}

/** The same for a file that tells of the run as a whole: what was left from before first, where there may be some. */
export function warningsOfFile(board: RunBoard, worked: WorkedRun): readonly BalanceWarning[] {
	const carryOver = carryOverWarning(board.run.settings);
	return [...(carryOver === undefined ? [] : [carryOver]), ...warningsOfBoard(board, worked)];
}
