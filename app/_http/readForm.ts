import { TrayError } from '@/lib/errors/TrayError';

/**
 * The form that a request carries.
 *
 * @param mostBytes - longest body taken in; one of unknown length is refused, since a form is held in memory whole
 * @throws TrayError `photo-too-large` or `usage`
 */
export async function readForm(request: Request, mostBytes: number): Promise<FormData> {
	const length = Number(request.headers.get('content-length') ?? Number.NaN);
	if (!(length <= mostBytes)) {
		throw new TrayError('photo-too-large', 'That is too much at once.', 'Send fewer or smaller files at a time.');
	}
	try {
		return await request.formData();
	} catch (cause) {
		throw new TrayError('usage', 'What was sent is not a form.', 'Send what the page sends.', { cause });
	}
}
