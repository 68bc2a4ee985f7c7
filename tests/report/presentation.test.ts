import { afterEach, expect, test } from 'vitest';
import { readNumber } from '@/lib/quantity/parseNumber';
import {
	massHead,
	printDay,
	printEntered,
	printExactMass,
	printKept,
	printMass,
	printPlain,
	printRefusal,
	printSentence,
	printShare,
} from '@/lib/report/format';
import { byLanguage, presentationFor, presentBy, shownTon } from '@/lib/report/presentation';
import { dayOf, printDayOf, printMoment } from '@/lib/report/printMoment';

/** Spaces that do not break, as plain ones. */
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

afterEach(() => presentBy(() => undefined));

test('pounds and short tons are shown to who has chosen them, however the mass was entered', () => {
	presentBy(() => presentationFor('us', 'en-US'));
	// NIST SP 811, B.8: 1 lb = 0.453 592 37 kg, 1 short ton = 2000 lb
	expect(plain(printExactMass(0.45359237, 'kg'))).toBe('1 lb');
	expect(plain(printExactMass(907.18474, 't'))).toBe('1 short ton');
	expect(plain(printMass({ value: 4.5359237, low: 4.4905614, high: 4.581286 }))).toBe('10.00 lb (9.90 to 10.10)');
	expect(massHead('Measured')).toBe('Measured, lb');
	expect(plain(printExactMass(0.212, 'g'))).toBe('212 g');
	expect(shownTon('t')).toBe('shortTon');
	expect(plain(printSentence('One weight is off by 0.45359237 kg.'))).toBe('One weight is off by 1 lb.');
});

test('kilograms and tonnes are shown to who has chosen them', () => {
	presentBy(() => presentationFor('metric', undefined));
	expect(plain(printExactMass(0.90718474, 'lb'))).toBe('0.9072 kg');
	expect(plain(printExactMass(0.00203, 'kg'))).toBe('0.00203 kg');
	expect(plain(printExactMass(907.18474, 'shortTon'))).toBe('0.9072 t');
});

test('a decimal comma stands where the locale has one, and what is printed into a field is read back the same', () => {
	presentBy(() => presentationFor(undefined, 'de-DE'));
	expect(plain(printShare({ value: 0.9612, low: 0.9503, high: 0.9736 }))).toBe('96,1 % (95,0 to 97,4)');
	expect(printPlain(7.5)).toBe('7,5');
	expect(printPlain(1240)).toBe('1\u00a0240');
	expect(printSentence('Edges are 0.4 mm wide.')).toBe('Edges are 0,4\u00a0mm wide.');
	expect(printDay('2026-03-05')).toBe('05.03.2026');
	for (const amount of [0.5, 4.12, 1.24, 1.234, 12.345, 123.456, 0.123, 1234.5, 12, -1.5]) {
		expect(readNumber(printEntered(amount), 'it')).toBe(amount);
	}
	expect(printKept(4.12)).toBe('4.12');
});

test('a refusal speaks in the units of its form and leaves alone what was typed', () => {
	presentBy(() => presentationFor('us', 'de-DE'));
	expect(plain(printRefusal('The feed rate must lie between 0.01 and 1 000 kg/h.'))).toBe(
		'The feed rate must lie between 0,01 and 1 000 kg/h.',
	);
	expect(printRefusal('The tare "1.2.3" is not a number, 12.4 is.')).toBe('The tare "1.2.3" is not a number, 12,4 is.');
	// both ways out must be readable as they stand
	expect(() => readNumber('1,240', 'It')).toThrow('It "1,240" can be read in two ways.');
	expect(printRefusal('Write "1240" or "1.240", whichever is meant.')).toContain('"1.240"');
});

test('a language tag that is none leaves the plain way of writing', () => {
	expect(presentationFor('stones', 'no tag at all')).toEqual(presentationFor(undefined, undefined));
});

test('what a language needs is made once, and however many languages are named only some are kept', () => {
	let made = 0;
	const lengthOf = byLanguage((tag) => {
		made++;
		return tag.length;
	});
	expect([lengthOf('de'), lengthOf('de'), made]).toEqual([2, 2, 1]);
	for (let i = 0; i < 1000; i++) expect(lengthOf(`x-${i}`)).toBe(`x-${i}`.length);
	expect(made).toBe(1001);
	expect([lengthOf('de'), made]).toEqual([2, 1002]);
});

test('a day is the day where the person is, not at Greenwich', () => {
	const late = '2026-03-05T23:30:00.000Z';
	expect(dayOf(new Date(late), 'Europe/Berlin')).toBe('2026-03-06');
	expect(dayOf(new Date(late), 'America/Chicago')).toBe('2026-03-05');
	presentBy(() => presentationFor('metric', 'en-GB', 'Pacific/Auckland'));
	expect(plain(printDayOf(late))).toBe('6 Mar 2026');
	expect(plain(printMoment(late))).toBe('6 Mar 2026, 12:30');
	// a zone that nobody knows counts as not given
	expect(presentationFor('metric', 'en-GB', 'Moon/Tycho')).not.toHaveProperty('timeZone');
});
