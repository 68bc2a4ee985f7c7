import { TrayError, type TrayErrorCode } from '@/lib/errors/TrayError';
import { COME_BACK_SECONDS } from './waitingLine';

const STATUS: Partial<Record<TrayErrorCode, number>> = {
	'photo-unreadable': 422,
	'photo-too-large': 413,
	'not-found': 404,
	'not-allowed': 403,
	busy: 503,
	storage: 507,
};

/** The same route, whose errors become answers: what is not known is logged and told plainly. */
export function answerErrors<Given extends readonly unknown[]>(
	route: (...given: Given) => Response | Promise<Response>,
): (...given: Given) => Promise<Response> {
	return async (...given) => {
		try {
			return await route(...given);
		} catch (error) {
			return answerOf(error);
		}
	};
}

function answerOf(error: unknown): Response {
	if (error instanceof TrayError) {
		if (error.code === 'storage') console.error(error);
		const headers = error.code === 'busy' ? { 'retry-after': String(COME_BACK_SECONDS) } : {};
		return Response.json({ message: error.message, hint: error.hint }, { status: STATUS[error.code] ?? 400, headers });
	}
	console.error(error);
	return Response.json(
		{ message: 'The program stumbled.', hint: 'Nothing that was saved is lost. Try again.' },
		{ status: 500 },
	);
}
