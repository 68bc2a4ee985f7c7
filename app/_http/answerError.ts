import { TrayError, type TrayErrorCode } from '@/lib/errors/TrayError';

const STATUS: Partial<Record<TrayErrorCode, number>> = {
  'photo-unreadable': 422,
  'photo-too-large': 413,
  'not-found': 404,
  storage: 507,
};

/** The one place where a route's error becomes an answer; what is not known is logged and told plainly. */
export function answerError(error: unknown): Response {
  if (error instanceof TrayError) {
    if (error.code === 'storage') console.error(error);
    return Response.json({ message: error.message, hint: error.hint }, { status: STATUS[error.code] ?? 400 });
  }
  console.error(error);
  return Response.json(
    { message: 'The program stumbled.', hint: 'Nothing that was saved is lost. Try again.' },
    { status: 500 },
  );
}
