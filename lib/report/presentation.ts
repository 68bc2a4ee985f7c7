import type { MassUnit } from '../quantity/units';

/** Which units masses are shown in: as each was entered, kilograms and tonnes, or pounds and short tons. */
export const MASS_SYSTEMS = ['asEntered', 'metric', 'us'] as const;
export type MassSystem = (typeof MASS_SYSTEMS)[number];

/** How numbers and days are written for the person who looks. */
export interface Presentation {
	readonly massSystem: MassSystem;
	readonly decimalSign: '.' | ',';
	/** BCP 47 language tag that days are written by. */
	readonly locale: string;
	/** IANA name of the time zone that days and times of day are told in; absent: this machine's. */
	readonly timeZone?: string;
}

/** What holds in files, on the command line and wherever nobody has chosen. */
export const PLAIN_PRESENTATION: Presentation = { massSystem: 'asEntered', decimalSign: '.', locale: 'en-GB' };

/**
 * Who looks is known at the edge only, and everything printed depends on it: the edge puts a function here that says who it
 * is at this moment. On the global object, because a server holds several copies of a module.
 */
const holder = globalThis as typeof globalThis & {
	decksidePresentation?: () => Presentation | undefined;
	decksidePlain?: boolean;
};

/** Let the edge say how the present page is written; undefined where it is none of its pages. */
export function presentBy(source: () => Presentation | undefined): void {
	holder.decksidePresentation = source;
}

/** How to write for the person who looks now. */
export function presentation(): Presentation {
	if (holder.decksidePlain === true) return PLAIN_PRESENTATION;
	return holder.decksidePresentation?.() ?? PLAIN_PRESENTATION;
}

/**
 * Write something plainly, whoever looks: a document must read the same for all.
 *
 * @param write - writes at once; what it starts and does not finish is not plain
 */
export function plainly<Written>(write: () => Written): Written {
	const before = holder.decksidePlain ?? false;
	holder.decksidePlain = true;
	try {
		return write();
	} finally {
		holder.decksidePlain = before;
	}
}

const IN_METRIC: Partial<Record<MassUnit, MassUnit>> = { lb: 'kg', oz: 'g', shortTon: 't' };
/** Grams stay: small scales weigh in grams everywhere. */
const IN_US: Partial<Record<MassUnit, MassUnit>> = { kg: 'lb', t: 'shortTon' };

/** The unit that a mass entered or kept in `unit` is shown in. */
export function shownUnit<U extends MassUnit>(unit: U): MassUnit {
	const { massSystem } = presentation();
	if (massSystem === 'asEntered') return unit;
	return (massSystem === 'metric' ? IN_METRIC : IN_US)[unit] ?? unit;
}

/** The ton that money and contents are reckoned by on screen, where `entered` was chosen with the prices. */
export function shownTon(entered: 'shortTon' | 't'): 'shortTon' | 't' {
	const { massSystem } = presentation();
	if (massSystem === 'asEntered') return entered;
	return massSystem === 'us' ? 'shortTon' : 't';
}

/**
 * A presentation from what a device asks for.
 *
 * @param massSystem - as kept; anything else counts as not chosen
 * @param locale - a language tag; one that is not understood counts as not given
 * @param timeZone - a time zone's name; one that is not known counts as not given
 */
export function presentationFor(
	massSystem: string | undefined,
	locale: string | undefined,
	timeZone?: string,
): Presentation {
	return {
		massSystem: MASS_SYSTEMS.find((one) => one === massSystem) ?? 'asEntered',
		...writtenIn(locale ?? PLAIN_PRESENTATION.locale),
		...(timeZone === undefined || !isTimeZone(timeZone) ? {} : { timeZone }),
	};
}

const isTimeZone = byLanguage((name) => {
	try {
		new Intl.DateTimeFormat('en', { timeZone: name });
		return true;
	} catch {
		return false;
	}
});

const writtenIn = byLanguage((tag): Pick<Presentation, 'decimalSign' | 'locale'> => {
	const locale = knownLocale(tag) ?? PLAIN_PRESENTATION.locale;
	return { decimalSign: decimalSignOf(locale), locale };
});

/** Languages, or time zones, that things are kept for at a time: more than the phones of one yard have. Chosen by eye. */
const MOST_LANGUAGES = 40;

/** Keeps what is made for a language: what the platform needs for it costs a page of numbers more than all the rest of it. */
export function byLanguage<Made>(make: (tag: string) => Made): (tag: string) => Made {
	const kept = new Map<string, Made>();
	return (tag) => {
		const there = kept.get(tag);
		if (there !== undefined) return there;
		// whoever asks names the language, so that there may be any number of them
		if (kept.size >= MOST_LANGUAGES) kept.clear();
		const made = make(tag);
		kept.set(tag, made);
		return made;
	};
}

function knownLocale(tag: string): string | undefined {
	try {
		return Intl.getCanonicalLocales(tag)[0];
	} catch {
		return undefined; // not a language tag: the plain one is used
	}
}

/** Comma where the locale writes one; a point everywhere else, other digits and signs included. */
function decimalSignOf(locale: string): '.' | ',' {
	const parts = new Intl.NumberFormat(locale, { numberingSystem: 'latn' }).formatToParts(1.5);
	return parts.find(({ type }) => type === 'decimal')?.value === ',' ? ',' : '.';
}
