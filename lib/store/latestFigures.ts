import 'server-only';
import type { Store } from './database';
import { ACCOUNT_ENGINE_VERSION } from './engineVersion';
import { keepAnew, keptUnder } from './keptResult';
import type { FiguresOrigin } from './runsAtWork';

/** The name under which it is kept which figures of a run were the last; figures of older code are not found by it. */
function nameOf(runId: string): string {
	return `latest of ${runId} ${ACCOUNT_ENGINE_VERSION}`;
}

/** Put on record that these figures of a run, which are kept themselves, are the last ones. */
export async function keepLatest(store: Store, runId: string, origin: FiguresOrigin): Promise<void> {
	await keepAnew(store, nameOf(runId), origin);
}

/** The last figures of a run that were worked out: those that could not be kept before those on record. */
export async function latestOrigin(store: Store, runId: string): Promise<FiguresOrigin | undefined> {
	return (await latestOrigins(store, [runId])).get(runId);
}

/** The same of some runs, by run. */
export async function latestOrigins(
	store: Store,
	runIds: readonly string[],
): Promise<ReadonlyMap<string, FiguresOrigin>> {
	const kept = await keptUnder<FiguresOrigin>(store, runIds.map(nameOf));
	return new Map(
		runIds.flatMap((id) => {
			const ended = store.runsAtWork.notKept.get(id);
			const origin = ended !== undefined && 'worked' in ended ? ended.origin : kept.get(nameOf(id));
			return origin === undefined ? [] : [[id, origin] as const];
		}),
	);
}
