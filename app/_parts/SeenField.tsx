'use client';

import { SEEN_FIELD } from '@/app/_forms/mergeEdit';
import { useField } from './EntryForm';

/** Tells what stood on record when its form was opened, so that saving takes back nothing that was changed elsewhere since. */
export function SeenField({ entry }: { readonly entry: Readonly<Record<string, string>> }) {
	const { value } = useField(SEEN_FIELD, JSON.stringify(entry));
	return <input type="hidden" name={SEEN_FIELD} value={value} />;
}
