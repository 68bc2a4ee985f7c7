import type { BlankSpread } from '../grade/blankRates';
import { type Check, checksOfKept, checksOfKind, withoutSuperseded } from '../grade/checkEntry';
import type { SortedSpread } from '../grade/learnMassPerArea';
import type { Lesson } from '../grade/lesson';
import type { GradedProduct, GradedRun } from './gradedRun';
import type { Weighing } from './weighing';

/**
 * A run with its checks where they act: a dried sub-sample in its product's weighing, a blank among the lessons and no longer
 * among the spreads that the product is graded by. Of several sorts of one spread the last counts.
 */
export function withChecksInPlace(run: GradedRun): GradedRun {
	const blanks: Lesson[] = [];
	const products = run.products.map((product): GradedProduct => {
		const { name, spreads, weighing } = product;
		const checks = withoutSuperseded(product.checks ?? []);
		for (const check of checksOfKind(checks, 'blank')) {
			const reading = spreads[check.spread - 1]?.[0];
			if (reading !== undefined) blanks.push({ label: `spread ${check.spread} of ${name}`, check, reading });
		}
		const isBlank = new Set(checksOfKind(checks, 'blank').map(({ spread }) => spread - 1));
		const kept = spreads.flatMap((_, s) => (isBlank.has(s) ? [] : [s]));
		const rest = checksOfKept(checks, kept).filter(({ kind }) => kind !== 'blank' && kind !== 'moisture');
		return {
			...product,
			spreads: kept.map((s) => spreads[s]!),
			checks: rest,
			...(weighing === undefined ? {} : { weighing: driedBy(weighing, checks) }),
		};
	});
	return { ...run, products, lessons: [...(run.lessons ?? []), ...blanks] };
}

/** The weighing with its moisture as dried sub-samples found it, all of them together; as it is where none was dried. */
export function driedBy(weighing: Weighing, checks: readonly Check[]): Weighing {
	const dried = checksOfKind(checks, 'moisture');
	if (dried.length === 0) return weighing;
	const sum = (of: (check: (typeof dried)[number]) => number) => dried.reduce((total, check) => total + of(check), 0);
	return {
		...weighing,
		moisture: {
			kind: 'dried',
			samples: dried.length,
			wetKg: sum(({ wet }) => wet.massG) / 1000,
			dryKg: sum(({ dry }) => dry.massG) / 1000,
			resolutionKg: Math.max(...dried.flatMap(({ wet, dry }) => [wet.stepG, dry.stepG])) / 1000,
		},
	};
}

/** Every hand sort of a run with the first photo of the spread that was sorted. */
export function sortedSpreadsOf({ products }: GradedRun): readonly SortedSpread[] {
	return products.flatMap(({ name, spreads, checks = [] }) =>
		checksOfKind(checks, 'handSort').flatMap((check) => {
			const reading = spreads[check.spread - 1]?.[0];
			return reading === undefined ? [] : [{ label: `spread ${check.spread} of ${name}`, reading, check }];
		}),
	);
}

/** Hand sorts of other runs. They are drawn by their place among them, the oldest first: what those runs are called changes no figure. */
export function taughtSortsOf(lessons: readonly Lesson[]): readonly SortedSpread[] {
	const sorts = lessons.flatMap(({ label, check, reading }) =>
		check.kind === 'handSort' && reading !== undefined ? [{ label, reading, check }] : [],
	);
	return sorts.map((sort, i) => ({ ...sort, isOfOtherScene: true, drawnAs: `taught ${sorts.length - i}` }));
}

/** Blanks, of this run and of others. */
export function blanksOf(lessons: readonly Lesson[]): readonly BlankSpread[] {
	return lessons.flatMap(({ check, reading }) =>
		check.kind === 'blank' && reading !== undefined ? [{ reading, freeOf: check.freeOf }] : [],
	);
}
