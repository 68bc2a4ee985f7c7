import type { WorkedRun } from './analysis';
import { HeldOutcomes } from './heldOutcomes';

/** What figures of a run were worked out from: they are those of this state of it and of no other. */
export interface FiguresOrigin {
	/** The name they are kept under; another state of the run has another. */
	readonly key: string;
	/** The readings that they rest on, by their keys; one that two photos share is there twice. */
	readonly readings: readonly string[];
	/** What each product was called, by its id. */
	readonly labels: Readonly<Record<string, string>>;
}

/** What came of working a run out and is not on record: a result that is not kept yet or can't be, or none. */
export type NotKept = { readonly origin: FiguresOrigin } & (
	| { readonly worked: WorkedRun }
	| { readonly error: unknown }
);

/** Work that a page wants the result of. */
export interface PageTask {
	/** The name its result is kept under. */
	readonly key: string;
	/** Never throws. */
	readonly work: () => Promise<void>;
}

/** The same as `NotKept` of sums that go on from a run. */
export type NotKeptSum = { readonly key: string } & ({ readonly result: unknown } | { readonly error: unknown });

/** What one program does for the pages of a store's runs. */
export interface RunsAtWork {
	/** What is being worked out, and what is wanted after it, by its kind. */
	readonly underWay: Map<string, { now: PageTask; next: PageTask | undefined }>;
	/** By the run's id. */
	readonly notKept: HeldOutcomes<NotKept>;
	/** By their kind. */
	readonly sumsNotKept: HeldOutcomes<NotKeptSum>;
}

/** Nothing under way. */
export function noRunsAtWork(): RunsAtWork {
	return { underWay: new Map(), notKept: new HeldOutcomes(), sumsNotKept: new HeldOutcomes() };
}
