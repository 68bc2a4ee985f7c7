import 'server-only';
import type { Store } from './database';
import { holdOpen } from './keptResult';
import type { PageTask } from './runsAtWork';

/** So long the page that asked goes first, and other changes may follow, ms: handing the readings over holds the answering thread up. */
const GATHER_MS = 100;

/**
 * Do work that no page waits for. Of one kind there is one at a time: photos go on coming meanwhile, and of all that is asked for since then only
 * the last is wanted.
 *
 * @param kind - what it is about and of which run
 */
export function workBehindPages(store: Store, kind: string, task: PageTask): void {
	const { underWay } = store.runsAtWork;
	const turn = underWay.get(kind);
	if (turn !== undefined) {
		turn.next = turn.now.key === task.key ? undefined : task;
		return;
	}
	const begun: { now: PageTask; next: PageTask | undefined } = { now: task, next: undefined };
	underWay.set(kind, begun);
	const inTurn = async () => {
		do {
			await new Promise((resolve) => setTimeout(resolve, GATHER_MS));
			begun.now = begun.next ?? begun.now;
			begun.next = undefined;
			await begun.now.work();
		} while (begun.next !== undefined);
		// with nothing awaited in between, so that nothing is put behind what is over
		underWay.delete(kind);
	};
	holdOpen(inTurn());
}
