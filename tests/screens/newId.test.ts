import { expect, test } from 'vitest';
import { idOf } from '@/app/_forms/idOf';
import { newId } from '@/app/_outbox/newId';

test('ids made by the phone are of the form that records have, and no two are alike', () => {
	const ids = Array.from({ length: 1000 }, newId);
	expect(ids.map(idOf)).toEqual(ids);
	expect(new Set(ids).size).toBe(1000);
});
