/** What asking the laptop found: it answers, it answers but not to this device, which was forgotten there, or nobody does. */
export type Readiness = 'answers' | 'shut out' | 'no answer';

/** Longest that somebody is waited for, milliseconds: a person taps again after about as long. Chosen by eye. */
const PATIENCE_MS = 5000;

/** Ask from the browser whether the laptop answers this device. */
export function askReady(): Promise<Readiness> {
	return fetch('/api/ready', { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE_MS) }).then(
		({ status }) => (status === 403 ? 'shut out' : 'answers'),
		() => 'no answer',
	);
}
