import { TrayError, type TrayErrorCode, toldOf } from '@/lib/errors/TrayError';
import { type FormState, sentBack } from './formState';

const RETURNED: readonly TrayErrorCode[] = ['storage', 'not-found', 'usage'];

type EntryAction = (before: FormState, form: FormData) => Promise<FormState>;

/**
 * The same action, except that data which could not be written (a full disk, a lock), a thing that was removed elsewhere meanwhile, or a run that is full, sends
 * the form back with everything that was typed and a sentence that says what to do.
 */
export function keepTyped(action: EntryAction): EntryAction {
	return async (before, form) => {
		try {
			return await action(before, form);
		} catch (error) {
			if (!(error instanceof TrayError && RETURNED.includes(error.code))) throw error;
			if (error.code === 'storage') console.error(error);
			return sentBack(before, form, [{ field: '', message: toldOf(error) }]);
		}
	};
}
