import type { Estimate } from '../quantity/quantity';
import type { Bounds, RunAccount } from './runAccount';

/** How far the photos of a run have come of which some wait or are being read. */
export interface PhotosInReading {
	/** Graded or refused. */
	readonly read: number;
	readonly all: number;
}

/** One run of a lot's history: what its concentrates came to. Missing where it is not known. */
export interface HistoryLine {
	readonly name: string;
	/** YYYY-MM-DD; missing where no day was noted. */
	readonly date?: string;
	/** Share of the feed's copper that the concentrates hold. */
	readonly recovery?: Estimate;
	/** Where only limits of it are known. */
	readonly recoveryBounds?: Bounds;
	/** Copper in the concentrates. */
	readonly grade?: Estimate;
	/** The run was the first after a change, so what was left from before may be in it. */
	readonly firstAfterChange: boolean;
	/** Its photos are still being read, so there are no figures yet. */
	readonly inReading?: PhotosInReading;
}

/** A run as a line of its lot's history. */
export function historyLineOf(
	{ together }: Pick<RunAccount, 'together'>,
	told: { readonly name: string; readonly date?: string | undefined; readonly firstAfterChange?: boolean | undefined },
): HistoryLine {
	const recovery = together.concentrate?.recovery.copper;
	const recoveryBounds = recovery === undefined ? together.concentrate?.recoveryBounds?.copper : undefined;
	const grade = together.concentrate?.massFraction.copper;
	return {
		name: told.name,
		...(told.date === undefined ? {} : { date: told.date }),
		...(recovery === undefined ? {} : { recovery }),
		...(recoveryBounds === undefined ? {} : { recoveryBounds }),
		...(grade === undefined ? {} : { grade }),
		firstAfterChange: told.firstAfterChange ?? false,
	};
}
