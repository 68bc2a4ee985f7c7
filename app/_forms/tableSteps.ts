import { isPhotographed, type PhotosOfSpread } from '@/lib/store/photographed';

/** A bin as far as the work at the table goes. */
interface Bin {
	readonly id: string;
	readonly weighing?: unknown;
	readonly spreads: readonly PhotosOfSpread[];
}

/** What is left to do with a bin. `unread`: it was photographed, but no photo of it could be read. */
export type TableStep = 'shoot' | 'unread' | 'weigh' | 'done';

export function tableStepOf({ weighing, spreads }: Bin): TableStep {
	if (!spreads.some(isPhotographed)) return spreads.some(isRefused) ? 'unread' : 'shoot';
	return weighing === undefined ? 'weigh' : 'done';
}

function isRefused({ photos }: PhotosOfSpread): boolean {
	return photos.some(({ state }) => state.kind === 'refused');
}

/**
 * The bin to go to next: the first with something left to do after `after`, then those before it; `after` itself never, since
 * its photo may still be on its way.
 */
export function nextBin<Some extends Bin>(bins: readonly Some[], after?: string): Some | undefined {
	const at = bins.findIndex(({ id }) => id === after);
	const others = [...bins.slice(at + 1), ...bins.slice(0, Math.max(0, at))];
	return others.find((bin) => tableStepOf(bin) !== 'done');
}

/** Where the feed is weighed. */
export function feedAddress(runId: string): string {
	return `/runs/${runId}/table/feed`;
}

/** Where the next step of a bin is taken. */
export function tableAddress(runId: string, bin: Bin | undefined): string {
	if (bin === undefined) return `/runs/${runId}/table`;
	return `/runs/${runId}/table/${bin.id}${tableStepOf(bin) === 'weigh' ? '/weigh' : ''}`;
}
