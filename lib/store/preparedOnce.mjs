/** Statements that are kept at a time; the store asks some 150 in all, more by lists of other lengths. */
const MOST_STATEMENTS = 300;

/**
 * A page asks the same things again and again; what SQLite made of a statement serves every time.
 *
 * @param {import('better-sqlite3').Database} handle
 * @returns {(text: string) => import('better-sqlite3').Statement<unknown[]>}
 */
export function preparedOnce(handle) {
	/** @type {Map<string, import('better-sqlite3').Statement<unknown[]>>} */
	const kept = new Map();
	return (text) => {
		const there = kept.get(text);
		if (there !== undefined) return there;
		if (kept.size >= MOST_STATEMENTS) kept.clear();
		const made = handle.prepare(text);
		kept.set(text, made);
		return made;
	};
}
