import { afterEach, expect, test, vi } from 'vitest';
import { answered } from '@/app/_forms/answered';
import { FRESH_FORM } from '@/app/_forms/formState';

const form = new FormData();
form.set('gross', '3,1');

afterEach(() => vi.unstubAllGlobals());

test('a form that nobody answers comes back with what was typed', async () => {
	vi.stubGlobal('fetch', () => Promise.reject(new TypeError('Failed to fetch')));
	const cut = answered(() => Promise.reject(new TypeError('Failed to fetch')));
	const state = await cut(FRESH_FORM, form);
	expect(state).toMatchObject({ typed: { gross: '3,1' }, attempt: 1 });
	expect(state.problems).toEqual([{ field: '', message: expect.stringContaining('The laptop does not answer.') }]);
});

test('a form of a device that was forgotten comes back too, and says so', async () => {
	vi.stubGlobal('fetch', () => Promise.resolve(new Response('{}', { status: 403 })));
	const shut = answered(() => Promise.reject(new Error('An unexpected response was received from the server.')));
	const state = await shut(FRESH_FORM, form);
	expect(state.typed).toEqual({ gross: '3,1' });
	expect(state.problems).toEqual([
		{ field: '', message: expect.stringContaining('does not know this device any more') },
	]);
});

test('what the server says itself goes through: a way on, an error of its own, an answer', async () => {
	const way = Object.assign(new Error('NEXT_REDIRECT'), { digest: 'NEXT_REDIRECT;push;/runs;303;' });
	await expect(answered(() => Promise.reject(way))(FRESH_FORM, form)).rejects.toBe(way);
	const told = { ...FRESH_FORM, attempt: 3 };
	expect(await answered(() => Promise.resolve(told))(FRESH_FORM, form)).toBe(told);
});
