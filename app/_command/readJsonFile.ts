import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { z } from 'zod';
import { TrayError } from '@/lib/errors/TrayError';

/**
 * Read a JSON file and check it against its schema.
 *
 * @param what - the file in words, for messages: "run file"
 * @throws TrayError `file-unreadable` saying where in the file what is wrong
 */
export async function readJsonFile<Output>(path: string, what: string, schema: z.ZodType<Output>): Promise<Output> {
  const text = await readFile(path, 'utf8').catch((cause: unknown) => {
    throw new TrayError('file-unreadable', `The ${what} ${path} can't be opened.`, 'Check its name and folder.', {
      cause,
    });
  });
  let given: unknown;
  try {
    given = JSON.parse(text);
  } catch (cause) {
    const reason = cause instanceof Error ? cause.message : String(cause);
    throw new TrayError('file-unreadable', `The ${what} ${path} is not JSON: ${reason}.`, 'Mend the file.', { cause });
  }
  const result = schema.safeParse(given);
  if (result.success) return result.data;
  const issues = result.error.issues.map(({ code, path: at, message }) => {
    const isBare = code === 'invalid_type' && message.startsWith('Invalid input');
    if (at.length === 0) return isBare ? `It is not a ${what}.` : message;
    return `${at.join('.')}: ${isBare ? 'it is missing, or of another kind.' : message}`;
  });
  throw new TrayError(
    'file-unreadable',
    `The ${what} ${path} can't be used. ${issues.join(' ')}`,
    'Mend the file; README.md shows the form.',
  );
}

/** Photo paths of a file are relative to the folder it lies in. */
export function besideFile<Request extends { readonly photo: string }>(
  file: string,
  photos: readonly Request[],
): Request[] {
  return photos.map((request) => ({ ...request, photo: path.resolve(path.dirname(file), request.photo) }));
}
