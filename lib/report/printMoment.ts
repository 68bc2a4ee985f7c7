import { printDay } from './format';
import { byLanguage, presentation } from './presentation';

/** A moment as the person who looks writes it, in their time zone: `5 Mar 2026, 14:20`. @param iso - ISO 8601 */
export function printMoment(iso: string): string {
	const { locale, timeZone } = presentation();
	return momentWriter(`${locale} ${timeZone ?? ''}`).format(new Date(iso));
}

const momentWriter = byLanguage((key) => {
	const [tag, zone] = key.split(' ');
	return new Intl.DateTimeFormat(tag, { dateStyle: 'medium', timeStyle: 'short', ...(zone ? { timeZone: zone } : {}) });
});

/** The day of a moment as the person who looks writes it: `5 Mar 2026`. @param iso - ISO 8601 */
export function printDayOf(iso: string): string {
	return printDay(dayOf(new Date(iso), presentation().timeZone));
}

/** The calendar day of a moment: `2026-03-05`. @param timeZone - IANA name; this machine's zone when left out */
export function dayOf(moment: Date, timeZone?: string): string {
	const parts = dayReader(timeZone ?? '').formatToParts(moment);
	return (['year', 'month', 'day'] as const).map((type) => parts.find((part) => part.type === type)?.value).join('-');
}

const dayReader = byLanguage(
	(zone) =>
		new Intl.DateTimeFormat('en', {
			calendar: 'gregory',
			numberingSystem: 'latn',
			year: 'numeric',
			month: '2-digit',
			day: '2-digit',
			...(zone === '' ? {} : { timeZone: zone }),
		}),
);
