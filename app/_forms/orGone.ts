import { notFound } from 'next/navigation';
import { TrayError } from '@/lib/errors/TrayError';

type ButtonAction = (form: FormData) => Promise<void>;

/** The same action, except that a thing removed elsewhere meanwhile leads to the page that says so. */
export function orGone(action: ButtonAction): ButtonAction {
	return async (form) => {
		try {
			await action(form);
		} catch (error) {
			if (error instanceof TrayError && error.code === 'not-found') notFound();
			throw error;
		}
	};
}
