import { AsyncLocalStorage } from 'node:async_hooks';

/** On the global object: the server in front and the app are built apart and run in one process. */
const holder = globalThis as typeof globalThis & { decksideAsking?: AsyncLocalStorage<string | undefined> };

function asking(): AsyncLocalStorage<string | undefined> {
	holder.decksideAsking ??= new AsyncLocalStorage();
	return holder.decksideAsking;
}

/** Do what one request asks for, as its yard; whatever is looked up meanwhile is that yard's. Undefined is nobody's. */
export function asYard<Result>(yardId: string | undefined, work: () => Result): Result {
	return asking().run(yardId, work);
}

/** The yard that asks; undefined for somebody who has not joined any, and where nobody said. */
export function yardAsking(): string | undefined {
	return asking().getStore();
}
