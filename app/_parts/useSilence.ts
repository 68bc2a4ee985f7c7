import { useEffect, useState } from 'react';
import type { Readiness } from '@/app/_http/askReady';
import { askContact } from './contact';

/** How long something that was sent may take before it is asked whether anybody answers at all, milliseconds. Chosen by eye. */
const PATIENCE_MS = 5000;

/**
 * Why something that was sent is not answered, where a plain question is not answered either: out of the Wi-Fi's reach, the laptop
 * sleeps (browsers wait for minutes then), or it forgot this device (and the page waits for parts of its own). What takes long on the
 * laptop is no silence.
 */
export function useSilence(isSent: boolean): Exclude<Readiness, 'answers'> | undefined {
	const [readiness, setReadiness] = useState<Readiness>('answers');
	useEffect(() => {
		if (!isSent) return;
		let ended = false;
		let next: ReturnType<typeof setTimeout>;
		const ask = async () => {
			const found = await askContact();
			if (ended) return;
			setReadiness(found);
			next = setTimeout(ask, PATIENCE_MS);
		};
		next = setTimeout(ask, PATIENCE_MS);
		return () => {
			ended = true;
			clearTimeout(next);
			setReadiness('answers');
		};
	}, [isSent]);
	return isSent && readiness !== 'answers' ? readiness : undefined;
}
