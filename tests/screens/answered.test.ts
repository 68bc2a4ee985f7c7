import { afterEach, expect, test, vi } from 'vitest';
import { answered, MOST_FILE_BYTES } from '@/app/_forms/answered';
import { FRESH_FORM } from '@/app/_forms/formState';

const form = new FormData();
form.set('gross', '3,1');

afterEach(() => vi.unstubAllGlobals());

test('a form that nobody answers comes back with what was typed', async () => {
	vi.stubGlobal('fetch', () => Promise.reject(new TypeError('Failed to fetch')));
	const cut = answered(() => Promise.reject(new TypeError('Failed to fetch')), vi.fn());
	const state = await cut(FRESH_FORM, form);
	expect(state).toMatchObject({ typed: { gross: '3,1' }, attempt: 1 });
	expect(state.problems).toEqual([{ field: '', message: expect.stringContaining('The laptop does not answer.') }]);
});

test('a form of a device that was forgotten comes back too, and says so', async () => {
	vi.stubGlobal('fetch', () => Promise.resolve(new Response('{}', { status: 403 })));
	const strange = new Error('An unexpected response was received from the server.');
	const shut = answered(() => Promise.reject(strange), vi.fn());
	const state = await shut(FRESH_FORM, form);
	expect(state.typed).toEqual({ gross: '3,1' });
	expect(state.problems).toEqual([
		{ field: '', message: expect.stringContaining('does not know this device any more') },
	]);
});

test('what the server says itself goes through: a way on, which means that it took it all, an error of its own, an answer', async () => {
	const way = Object.assign(new Error('NEXT_REDIRECT'), { digest: 'NEXT_REDIRECT;push;/runs;303;' });
	const fault = Object.assign(new Error('fault'), { digest: '123' });
	const told = { ...FRESH_FORM, attempt: 3 };
	const taken = vi.fn();
	await expect(answered(() => Promise.reject(fault), taken)(FRESH_FORM, form)).rejects.toBe(fault);
	expect(await answered(() => Promise.resolve(told), taken)(FRESH_FORM, form)).toBe(told);
	expect(taken).not.toHaveBeenCalled();
	await expect(answered(() => Promise.reject(way), taken)(FRESH_FORM, form)).rejects.toBe(way);
	expect(taken).toHaveBeenCalledOnce();
});

test('a file larger than any that a form takes, a photo chosen by a slip, comes back in words and is not sent', async () => {
	const action = vi.fn(() => Promise.resolve(FRESH_FORM));
	const photo = new FormData();
	photo.set('file', new File([new Uint8Array(MOST_FILE_BYTES + 1)], 'photo.jpg'));
	expect(await answered(action, vi.fn())(FRESH_FORM, photo)).toEqual({
		problems: [{ field: 'file', message: expect.stringContaining('This file is too large') }],
		typed: {},
		attempt: 1,
	});
	photo.set('file', new File([new Uint8Array(MOST_FILE_BYTES)], 'run.json'));
	expect(action).not.toHaveBeenCalled();
	await answered(action, vi.fn())(FRESH_FORM, photo);
	expect(action).toHaveBeenCalledOnce();
});
