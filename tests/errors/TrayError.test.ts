import { expect, test, vi } from 'vitest';
import { TrayError, toldOf } from '@/lib/errors/TrayError';

test('an error thrown by another copy of the program is known as one of ours, any other error is not', async () => {
	vi.resetModules();
	const copy = await import('@/lib/errors/TrayError');
	expect(copy.TrayError).not.toBe(TrayError);
	const [ours, theirs] = [new TrayError('storage', 'Full.', ''), new copy.TrayError('storage', 'Full.', '')];
	expect(theirs instanceof TrayError).toBe(true);
	expect(ours instanceof copy.TrayError).toBe(true);
	for (const other of [new Error('x'), new TypeError('x'), { name: 'TrayError' }, undefined]) {
		expect(other instanceof TrayError).toBe(false);
	}
});

test('trouble is told with what to do; a fault of the program is thrown on as it is', () => {
	expect(toldOf(new TrayError('busy', 'Too many photos at once.', 'Try again.'))).toBe(
		'Too many photos at once. Try again.',
	);
	const fault = new RangeError('no class');
	expect(() => toldOf(fault)).toThrow(fault);
});
