import 'server-only';
import { randomUUID } from 'node:crypto';

/** How a thing of one kind is saved as it stands in a form. */
interface Saving {
	/** @returns false where something was saved under that id before */
	readonly add: (id: string) => Promise<boolean>;
	/** Whether what was saved under that id is what the form holds. */
	readonly isSame: (id: string) => Promise<boolean>;
	/** Put what the form holds in the place of what was saved under that id. */
	readonly change: (id: string) => Promise<void>;
}

/**
 * Save a new thing under the id that its form carries, once however often the form is sent.
 *
 * Where something else stands under that id, the form either was saved, its answer was lost, and it was mended before it was sent again:
 * then what it holds now counts. Or its page was gone back to for another thing: then that is saved beside the first.
 *
 * @param isRetry - the form came back once since its page was opened
 * @returns the id that it was saved under
 */
export async function saveNew(id: string, isRetry: boolean, { add, isSame, change }: Saving): Promise<string> {
	if ((await add(id)) || (await isSame(id))) return id;
	if (isRetry) {
		await change(id);
		return id;
	}
	const fresh = randomUUID();
	await add(fresh);
	return fresh;
}

/** Whether a row holds these columns as they are. */
export function holds(row: object | undefined, columns: object): boolean {
	const kept = new Map(Object.entries(row ?? {}));
	return row !== undefined && Object.entries(columns).every(([name, value]) => kept.get(name) === value);
}
