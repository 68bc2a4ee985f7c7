import { askReady } from '@/app/_http/askReady';
import { type FormState, sentBack } from './formState';

/** Said where nobody answered: on the Wi-Fi's edge, or while Deckside starts again. */
const NO_ANSWER =
	'The laptop does not answer. What you typed stays here: see that this device is on its Wi-Fi and that Deckside runs, then save again.';

/** Said where the laptop answers, but not to this device: it was forgotten there. */
const SHUT_OUT =
	'The laptop does not know this device any more. What you typed stays here: join again with the code that the laptop shows under Phones, then come back to this page and save.';

/** Largest file that a form takes, bytes: the framework takes 1 MB of all that is sent with it. A run of forty bins is about a tenth of it. */
export const MOST_FILE_BYTES = 900_000;

/** Said of a photo chosen for a file, for example; sent on, the framework would answer with no words of ours. */
const TOO_LARGE = 'This file is too large to be what is asked for here. See whether another was meant.';

type EntryAction = (before: FormState, form: FormData) => Promise<FormState>;

/**
 * The same action, called from the browser. Where the link is cut, or something between answers in the server's place, the form
 * comes back with everything that was typed; what the server itself says, a way on or an error of its own, goes through. A file that is larger than any that
 * a form takes is not sent.
 *
 * @param taken - called where the server took what was typed and leads on, be it to the same page again
 */
export function answered(action: EntryAction, taken: () => void): EntryAction {
	return async (before, form) => {
		const large = [...form].find(([, value]) => value instanceof File && value.size > MOST_FILE_BYTES);
		if (large !== undefined) return sentBack(before, form, [{ field: large[0], message: TOO_LARGE }]);
		try {
			return await action(before, form);
		} catch (error) {
			if (markOf(error)?.startsWith('NEXT_REDIRECT')) taken();
			const message = (await whyUnanswered(error)) === 'shut out' ? SHUT_OUT : NO_ANSWER;
			return sentBack(before, form, [{ field: '', message }]);
		}
	};
}

/** Why an action that was called from the browser was not answered; what the server itself threw is thrown on. */
export async function whyUnanswered(error: unknown): Promise<'no answer' | 'shut out'> {
	if (markOf(error) !== undefined) throw error;
	return (await askReady()) === 'shut out' ? 'shut out' : 'no answer';
}

/** What the server throws crosses with a mark of its own; a broken link leaves none. */
function markOf(error: unknown): string | undefined {
	return typeof error === 'object' && error !== null && 'digest' in error ? String(error.digest) : undefined;
}
