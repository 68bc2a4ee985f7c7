import { askReady, type Readiness } from '@/app/_http/askReady';

/** Whether the last that was heard of the laptop was that nobody answered, or not to this device. */
let isLost = false;
let stay: ((address: string) => void) | undefined;

/** Note whether this device was answered, of whatever was asked. */
export function noteContact(answered: boolean): void {
	isLost = !answered;
}

/** Ask whether this device is answered, and note it. */
export async function askContact(): Promise<Readiness> {
	const readiness = await askReady();
	noteContact(readiness === 'answers');
	return readiness;
}

/** True where going to another page may well end in the browser's own page about a lost connection, or wait for ever. */
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
