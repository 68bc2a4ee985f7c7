import { useEffect, useState } from 'react';
import { askContact } from './contact';

/** How long something that was sent may take before it is asked whether anybody answers at all, milliseconds. Chosen by eye. */
const PATIENCE_MS = 5000;

/**
 * True while something that was sent is not answered, and nor is a plain question: out of the Wi-Fi's reach, or the laptop sleeps.
 * Browsers wait for minutes then. What takes long on the laptop is no silence.
 */
export function useSilence(isSent: boolean): boolean {
	const [isSilent, setSilent] = useState(false);
	useEffect(() => {
		if (!isSent) return;
		let ended = false;
		let next: ReturnType<typeof setTimeout>;
		const ask = async () => {
			const answered = await askContact();
			if (ended) return;
			setSilent(!answered);
			next = setTimeout(ask, PATIENCE_MS);
		};
		next = setTimeout(ask, PATIENCE_MS);
		return () => {
			ended = true;
			clearTimeout(next);
			setSilent(false);
		};
	}, [isSent]);
	return isSent && isSilent;
}
