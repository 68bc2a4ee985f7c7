import type { Difference, RunComparison } from '../balance/compareRuns';
import type { ProductAccount, RunAccount, StreamAccount } from '../balance/runAccount';
import { GRADED, type Graded } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { comparedFigureName } from './compareSentences';
import { type CsvCell, csvOf, NO_VALUE_NOTE, rangeCells, rangeHeads } from './exportCsv';
import { plainly } from './presentation';
import { recoverySentence } from './sentences';
import type { ToldComparison } from './toldComparison';

/**
 * An account as a table: one line a stream, three columns a figure (best value and the ends of its 95 % range), then a line
 * for each thing that its reader must know.
 *
 * @param hasCarryOver - the run was the first after a change: every line says so
 */
export function accountCsv(account: RunAccount, hasCarryOver = false): string {
	const figures = [
		'dry mass measured kg',
		'dry mass reconciled kg',
		'yield fraction',
		...GRADED.map((component) => `${component} grade measured fraction`),
		...GRADED.map((component) => `${component} grade reconciled fraction`),
		...GRADED.map((component) => `${component} recovery fraction`),
	];
	const header = ['stream', 'role', ...rangeHeads(figures), 'may hold carry-over', 'note'];
	const feed = cellsOf('Feed', 'feed', account.feed, undefined);
	const products = account.products.map((product) => cellsOf(product.name, product.role, product, product));
	const loss = account.loss === undefined ? [] : [cellsOf('Stated loss', 'loss', account.loss, undefined)];
	const lines = [feed, ...products, ...loss];
	const recovered = plainly(() => recoverySentence(account));
	return csvOf(header, [
		...lines.map((line) => [...line, hasCarryOver ? 'yes' : 'no', undefined]),
		...[
			...(recovered === undefined ? [] : [recovered]),
			...(isAnyMissing(account) ? [NO_VALUE_NOTE] : []),
			...(account.products.some(({ recoveryBounds }) => recoveryBounds) ? [BOUNDS_NOTE] : []),
			...account.warnings.map(({ message }) => message),
		].map((note) => noteLine(header.length, 'Run', note)),
	]);
}

const BOUNDS_NOTE = 'A recovery without a value where bins are not known is only known to lie between its ends.';

function cellsOf(name: string, role: string, stream: StreamAccount, product: ProductAccount | undefined): CsvCell[] {
	const graded = (of: (component: Graded) => Estimate | undefined) =>
		GRADED.flatMap((component) => rangeCells(of(component)));
	return [
		name,
		role,
		...rangeCells(stream.dryMassKg.measured),
		...rangeCells(stream.dryMassKg.reconciled),
		...rangeCells(product?.yieldFraction),
		...graded((component) => stream.massFraction.measured[component]),
		...graded((component) => stream.massFraction.reconciled[component]),
		...GRADED.flatMap((component) => {
			const bounds = component === 'freeCopper' ? undefined : product?.recoveryBounds?.[component];
			return bounds === undefined ? rangeCells(product?.recovery[component]) : [undefined, bounds.low, bounds.high];
		}),
	];
}

/** A line that holds a sentence instead of figures. */
function noteLine(cells: number, name: string, note: string): CsvCell[] {
	return [name, ...Array.from({ length: cells - 2 }, () => undefined), note];
}

function isAnyMissing({ products }: RunAccount): boolean {
	return products.some(({ massFraction }) =>
		GRADED.some((component) => massFraction.measured[component]?.belowDetectionLimit === true),
	);
}

/** A difference that rests on a share below detection has a range and no value; its range can lie on both sides of 0. */
function differenceCells({ value, low, high, belowDetectionLimit }: Estimate): CsvCell[] {
	return [belowDetectionLimit ? undefined : value, low, high];
}

/** Comparisons as a table: one line a figure, then what can't be compared; shares are fractions, probabilities 0 to 1. */
export function comparisonCsv(comparisons: readonly ToldComparison[]): string {
	const columns = rangeHeads(['base fraction', 'other fraction', 'difference fraction']);
	const header = ['base run', 'other run', 'figure', ...columns, 'probability better', 'probability higher', 'note'];
	const line = ({ base, other }: RunComparison, difference: Difference): CsvCell[] => [
		base,
		other,
		comparedFigureName(difference),
		...rangeCells(difference.base),
		...rangeCells(difference.other),
		...differenceCells(difference.difference),
		difference.probabilityBetter,
		difference.probabilityHigher,
		undefined,
	];
	return csvOf(
		header,
		comparisons.flatMap((comparison) => [
			...comparison.differences.map((difference) => line(comparison, difference)),
			...[...comparison.warnings, ...comparison.cannot, ...missingNotes(comparison)].map((note) => {
				const [, , ...rest] = noteLine(header.length, '', note);
				return [comparison.base, comparison.other, ...rest];
			}),
		]),
	);
}

function missingNotes({ differences }: RunComparison): readonly string[] {
	return differences.some(({ difference }) => difference.belowDetectionLimit) ? [NO_VALUE_NOTE] : [];
}
