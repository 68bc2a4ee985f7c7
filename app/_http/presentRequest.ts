import 'server-only';
import { workUnitAsyncStorage } from 'next/dist/server/app-render/work-unit-async-storage.external';
import { cookies, headers } from 'next/headers';
import { type Presentation, presentationFor, presentBy } from '@/lib/report/presentation';

/** What a device has chosen, kept on it for a year. */
export const MASS_COOKIE = 'deckside-masses';
export const LOCALE_COOKIE = 'deckside-locale';

/**
 * Pages of this process are written for the device that asks: by what it has chosen, else by the language it names first.
 *
 * Printing is synchronous and happens deep inside pages, where the framework's own `cookies()` is not to be had, so the
 * request is looked up in the framework's storage itself. Only pages: files and answers to programs stay plain.
 */
export function presentRequests(): void {
  presentBy(() => {
    const request = workUnitAsyncStorage.getStore();
    if (request?.type !== 'request' || request.phase !== 'render') return undefined;
    const chosen = (name: string) => request.cookies.get(name)?.value;
    return fromRequest(chosen(MASS_COOKIE), chosen(LOCALE_COOKIE), request.headers.get('accept-language'));
  });
}

/** The same for code that may wait. */
export async function presentationOfRequest(): Promise<Presentation> {
  const chosen = await cookies();
  const language = (await headers()).get('accept-language');
  return fromRequest(chosen.get(MASS_COOKIE)?.value, chosen.get(LOCALE_COOKIE)?.value, language);
}

function fromRequest(masses: string | undefined, locale: string | undefined, language: string | null): Presentation {
  const first = language?.split(/[,;]/)[0]?.trim();
  return presentationFor(masses, locale ?? (first === '' || first === '*' ? undefined : first));
}
