import { presentation } from '@/lib/report/presentation';

/**
 * A number's field as it is to be read. Where the device that asks writes a decimal comma, `4,125` means 4.125 and nothing else;
 * many phones offer no point.
 */
export function typedNumber(typed: string): string {
	return presentation().decimalSign === ',' ? typed.replace(/^(\s*[+-]?\d{1,3}),(?=\d{3}(?!\d))/, '$1.') : typed;
}

/** The fields of a form that was sent in a page's address: as typed, and as they are to be read, by files that are linked to as well. */
export function fieldsInAddress(query: Readonly<Record<string, string | string[] | undefined>>): {
	readonly typed: Readonly<Record<string, string>>;
	readonly read: Readonly<Record<string, string>>;
} {
	const typed = Object.entries(query).flatMap(([name, value]) =>
		typeof value === 'string' ? [[name, value] as const] : [],
	);
	return {
		typed: Object.fromEntries(typed),
		read: Object.fromEntries(typed.map(([name, text]) => [name, typedNumber(text)])),
	};
}
