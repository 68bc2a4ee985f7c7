import { z } from 'zod';
import type { Problem } from './formState';

type Typed = Readonly<Record<string, string>>;

/** Name of the hidden field with what stood on record when the form was opened. */
export const SEEN_FIELD = 'seen';

/** A form's entry brought together with what others saved meanwhile. */
export interface MergedEdit {
	/** Fields that this form left alone hold what is on record now, the others what was typed. */
	readonly typed: Typed;
	/** Fields that both changed, and not to the same. */
	readonly clashes: readonly Problem[];
}

/**
 * Bring what was typed into a form together with what was saved elsewhere since the form was opened, so that a page left open on another
 * device takes nothing back.
 *
 * @param now - the entry on record, as its form shows it
 * @param groupOf - fields that mean something only together (a weight and its unit) have one group; they are taken or left together
 */
export function mergeEdit(typed: Typed, now: Typed, groupOf: (field: string) => string = (field) => field): MergedEdit {
	const seen = seenOf(typed);
	if (seen === undefined) return { typed, clashes: [] };
	const merged: Record<string, string> = { ...typed, [SEEN_FIELD]: JSON.stringify(now) };
	const clashes: Problem[] = [];
	for (const fields of groupsOf([seen, now], groupOf)) {
		const differing = (one: Typed, other: Typed) =>
			fields.filter((field) => textOf(one, field) !== textOf(other, field));
		const [changed] = differing(now, seen);
		if (changed === undefined || differing(now, typed).length === 0) continue;
		if (differing(typed, seen).length > 0) clashes.push({ field: changed, message: clashOf(textOf(now, changed)) });
		else for (const field of fields) merged[field] = textOf(now, field);
	}
	return { typed: merged, clashes };
}

function clashOf(text: string): string {
	const nowReads = text === '' ? 'it is empty now' : `it now reads “${text}”`;
	return `This was changed in another window or on another device meanwhile: ${nowReads}. Save again to put yours in its place, or leave without saving.`;
}

function groupsOf(entries: readonly Typed[], groupOf: (field: string) => string): readonly (readonly string[])[] {
	const groups = new Map<string, string[]>();
	for (const field of new Set(entries.flatMap(Object.keys)))
		groups.set(groupOf(field), [...(groups.get(groupOf(field)) ?? []), field]);
	return [...groups.values()];
}

/** Forms send line ends in a way of their own. */
function textOf(typed: Typed, field: string): string {
	return (typed[field] ?? '').replaceAll('\r\n', '\n');
}

const seenSchema = z.record(z.string(), z.string());

function seenOf(typed: Typed): Typed | undefined {
	try {
		return seenSchema.safeParse(JSON.parse(typed[SEEN_FIELD] ?? '')).data;
	} catch {
		return undefined; // a form that does not say what it showed
	}
}
