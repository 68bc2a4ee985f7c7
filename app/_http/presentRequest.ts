import 'server-only';
import { workUnitAsyncStorage } from 'next/dist/server/app-render/work-unit-async-storage.external';
import { cookies, headers } from 'next/headers';
import { type Presentation, presentationFor, presentBy } from '@/lib/report/presentation';
import { dayOf } from '@/lib/report/printMoment';

/** What a device has chosen, kept on it for a year. */
export const MASS_COOKIE = 'deckside-masses';
export const LOCALE_COOKIE = 'deckside-locale';
/** Which time zone a device is in. */
export const ZONE_COOKIE = 'deckside-zone';

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
		return fromRequest(chosen, request.headers.get('accept-language'));
	});
}

/** The same for code that may wait. */
export async function presentationOfRequest(): Promise<Presentation> {
	const jar = await cookies();
	return fromRequest((name) => jar.get(name)?.value, (await headers()).get('accept-language'));
}

/** The calendar day where the device that asks is: `2026-03-05`. */
export async function todayOfRequest(): Promise<string> {
	return dayOf(new Date(), (await presentationOfRequest()).timeZone);
}

function fromRequest(chosen: (name: string) => string | undefined, language: string | null): Presentation {
	const first = language?.split(/[,;]/)[0]?.trim();
	const locale = chosen(LOCALE_COOKIE) ?? (first === '' || first === '*' ? undefined : first);
	return presentationFor(chosen(MASS_COOKIE), locale, chosen(ZONE_COOKIE));
}
