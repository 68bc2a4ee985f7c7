import fc from 'fast-check';
import { beforeEach, expect, test } from 'vitest';
import { accessCode, isAccessCode, makeAccessCode, renewAccessCode } from '@/lib/store/accessCode';
import { Attempts, JOIN_RULES } from '@/lib/store/attempts';

beforeEach(() => renewAccessCode());

test('a code is easy to read and to type: two fours without look-alikes, in any case and spacing', () => {
	const code = accessCode();
	expect(code).toMatch(/^[A-HJ-KM-NP-Z2-9]{4}-[A-HJ-KM-NP-Z2-9]{4}$/);
	expect(accessCode()).toBe(code);
	for (const typed of [code, code.toLowerCase(), code.replace('-', ''), ` ${code.split('').join(' ')} `]) {
		expect(isAccessCode(typed), typed).toBe(true);
	}
});

test('nothing else is the code', () => {
	const code = accessCode();
	for (const wrong of ['', '-', code.slice(0, -1), `${code}2`, code.split('').reverse().join('')]) {
		expect(isAccessCode(wrong), wrong).toBe(false);
	}
	fc.assert(fc.property(fc.string(), (typed) => !isAccessCode(typed)));
});

test('a new code ends the one before', () => {
	const before = accessCode();
	renewAccessCode();
	expect(isAccessCode(before)).toBe(false);
});

test('every symbol of a code is equally likely: bytes that would favour some are drawn again', () => {
	// all 256 bytes once: 31 symbols get 8 each, the 8 bytes left over are thrown away
	let next = 0;
	const counts = new Map<string, number>();
	for (let codes = 0; codes < 31; codes++) {
		const code = makeAccessCode((bytes) => Uint8Array.from({ length: bytes }, () => next++ % 256));
		for (const symbol of code.replace('-', '')) counts.set(symbol, (counts.get(symbol) ?? 0) + 1);
	}
	expect([...counts.values()]).toEqual(Array.from({ length: 31 }, () => 8));
});

test('wrong codes from one device are held up after five, for the time they were made in', () => {
	const attempts = new Attempts();
	const take = (now: number, address = '192.168.1.30') => attempts.take(address, now);
	for (let i = 0; i < JOIN_RULES.perAddress; i++) expect(take(i)).toBe(0);
	expect(take(10)).toBe(JOIN_RULES.windowMs - 10);
	expect(take(10, '192.168.1.31')).toBe(0);
	expect(take(JOIN_RULES.windowMs)).toBe(0);
	expect(take(JOIN_RULES.windowMs)).toBeGreaterThan(0);
});

test('many devices together are held up as well', () => {
	const attempts = new Attempts();
	for (let i = 0; i < JOIN_RULES.overall; i++) expect(attempts.take(`10.0.0.${i}`, 0)).toBe(0);
	expect(attempts.take('10.0.1.1', 1)).toBe(JOIN_RULES.windowMs - 1);
});

test('a right code does not count', () => {
	const attempts = new Attempts();
	for (let i = 0; i < 100; i++) {
		expect(attempts.take('10.0.0.1', i)).toBe(0);
		attempts.forgive('10.0.0.1');
	}
});

test('a clock that is set back by a year keeps nobody out for that long', () => {
	const attempts = new Attempts();
	for (let k = 0; k < JOIN_RULES.perAddress; k++) attempts.take('a', 1e12);
	expect(attempts.take('a', 1e12)).toBeGreaterThan(0);
	expect(attempts.take('a', 1e12 - 365 * 86_400_000)).toBe(0);
});
