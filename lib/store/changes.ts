/** Word that something on record changed, passed to whoever shows it; what changed they look up for themselves. */
export interface Changes {
	announce(): void;
	/** @returns ends the listening */
	listen(listener: () => void): () => void;
}

/** A new line of word within one process. */
export function startChanges(): Changes {
	const listeners = new Set<() => void>();
	return {
		announce: () => {
			for (const listener of [...listeners]) listener();
		},
		listen: (listener) => {
			listeners.add(listener);
			return () => void listeners.delete(listener);
		},
	};
}
