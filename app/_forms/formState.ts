/** One thing to mend before a form can be saved. */
export interface Problem {
	/** Name of the field it stands at; empty for the form as a whole. */
	readonly field: string;
	readonly message: string;
}

/** What a form shows after it was sent and not taken: what is wrong and what was typed. */
export interface FormState {
	readonly problems: readonly Problem[];
	readonly typed: Readonly<Record<string, string>>;
	/** Counts attempts, so that the summary takes the focus each time. */
	readonly attempt: number;
}

export const FRESH_FORM: FormState = { problems: [], typed: {}, attempt: 0 };

/** The text fields of a form as typed. */
export function typedOf(form: FormData): Readonly<Record<string, string>> {
	const typed: Record<string, string> = {};
	for (const [name, value] of form) if (typeof value === 'string' && !name.startsWith('$')) typed[name] = value;
	return typed;
}

/** A form sent back with its problems and everything that was typed. */
export function sentBack(
	before: FormState,
	form: FormData | FormState['typed'],
	problems: readonly Problem[],
): FormState {
	return { problems, typed: form instanceof FormData ? typedOf(form) : form, attempt: before.attempt + 1 };
}
