/** Whether the last that was heard of the laptop was that nobody answered. */
let isLost = false;
let stay: ((address: string) => void) | undefined;

/** Note whether somebody answered, of whatever was asked. */
export function noteContact(answered: boolean): void {
	isLost = !answered;
}

/** Longest that somebody is waited for, milliseconds: a person taps again after about as long. Chosen by eye. */
const PATIENCE_MS = 5000;

/** Ask whether anybody answers, and note it. */
export async function askContact(): Promise<boolean> {
	const signal = AbortSignal.timeout(PATIENCE_MS);
	const answered = await fetch('/api/ready', { cache: 'no-store', signal }).then(
		() => true,
		() => false,
	);
	noteContact(answered);
	return answered;
}

/** True where going to another page may well end in the browser's own page about a lost connection. */
export function isContactDoubtful(): boolean {
	return isLost || !navigator.onLine;
}

/** Let a part of the page look after addresses that are wanted while nobody may answer. @returns ends that */
export function lookAfterLinks(part: (address: string) => void): () => void {
	stay = part;
	return () => {
		stay = undefined;
	};
}

/** Go to another page, or stay and say so where nobody answers. */
export function goTo(address: string, go: (address: string) => void): void {
	if (stay !== undefined && isContactDoubtful()) stay(address);
	else go(address);
}
