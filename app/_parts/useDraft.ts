import { type RefObject, useEffect, useRef, useState } from 'react';

/** What was typed into a form and differs from what stood there, by field. */
type Draft = Readonly<Record<string, string>>;
type Control = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

/**
 * Keeps what is typed into a form in this tab until it is sent, so that a page left half filled, or closed by the phone's own camera, comes back as
 * it was left. Files, passphrases and hidden fields are not kept.
 *
 * @param form - its name for the tab is the page's address and its fields
 * @param pending - it is being sent
 * @param attempt - counts the times it came back with problems
 * @returns whether something was brought back; what the form's input event calls; and what throws the draft away
 */
export function useDraft(
	form: RefObject<HTMLFormElement | null>,
	{ pending, attempt }: { pending: boolean; attempt: number },
) {
	const [isBack, setBack] = useState(false);
	const name = useRef('');
	const first = useRef<Draft>({});
	const isFilling = useRef(false);
	const sent = useRef<number | undefined>(undefined);

	const keep = () => {
		if (form.current === null || isFilling.current) return;
		const now = valuesIn(form.current);
		const changed = Object.entries(now).filter(([name, value]) => value !== (first.current[name] ?? ''));
		put(name.current, Object.fromEntries(changed));
	};
	const drop = () => put(name.current, {});

	useEffect(() => {
		const here = form.current;
		if (here === null) return;
		first.current = valuesIn(here);
		name.current = nameOf(here);
		const draft = draftOf(name.current);
		const fill = () => {
			isFilling.current = true;
			const filled = fillIn(here, draft);
			isFilling.current = false;
			return filled;
		};
		if (!fill()) return;
		setBack(true);
		// fields that came with what was filled in
		const frame = requestAnimationFrame(fill);
		return () => cancelAnimationFrame(frame);
	}, [form]);

	useEffect(() => {
		if (pending) sent.current = attempt;
		// it was taken, and the page stays; else it came back with problems
		else if (sent.current === attempt) {
			put(name.current, {});
			setBack(false);
		}
	}, [pending, attempt]);

	return { isBack, keep, drop };
}

function controlsOf(form: HTMLFormElement): readonly Control[] {
	return [...form.elements].filter(
		(one): one is Control =>
			(one instanceof HTMLInputElement || one instanceof HTMLSelectElement || one instanceof HTMLTextAreaElement) &&
			one.name !== '' &&
			!['hidden', 'file', 'password'].includes(one.type),
	);
}

/** Boxes and dots are told apart by their values. */
function isTicked(control: Control): control is HTMLInputElement {
	return control.type === 'checkbox' || control.type === 'radio';
}

function keyOf(control: Control): string {
	return isTicked(control) ? `${control.name} ${control.value}` : control.name;
}

function contentOf(control: Control): string {
	return isTicked(control) ? (control.checked ? 'yes' : '') : control.value;
}

function valuesIn(form: HTMLFormElement): Draft {
	return Object.fromEntries(controlsOf(form).map((control) => [keyOf(control), contentOf(control)]));
}

/** @returns whether anything in the form was changed by it */
function fillIn(form: HTMLFormElement, draft: Draft): boolean {
	let isChanged = false;
	for (const control of controlsOf(form)) {
		const value = draft[keyOf(control)];
		if (value === undefined || value === contentOf(control)) continue;
		isChanged = true;
		control.closest('details')?.setAttribute('open', '');
		if (isTicked(control)) {
			control.click();
			continue;
		}
		control.value = value;
		// for what on the page goes by it
		control.dispatchEvent(new Event(control instanceof HTMLSelectElement ? 'change' : 'input', { bubbles: true }));
	}
	return isChanged;
}

/**
 * A page may hold several forms, told apart by their fields. Those that the framework adds (`$...`) stand only in a page that was
 * loaded as a whole: what was typed after a link was followed must be found again when the page is loaded anew.
 */
function nameOf(form: HTMLFormElement): string {
	const fields = [...form.elements]
		.map((one) => one.getAttribute('name') ?? '')
		.filter((name) => name !== '' && !name.startsWith('$'));
	return `draft ${location.pathname}${location.search} ${fields.join(' ')}`;
}

function draftOf(name: string): Draft {
	try {
		return JSON.parse(sessionStorage.getItem(name) ?? '{}') as Draft; // written below
	} catch {
		return {}; // a browser that keeps nothing
	}
}

function put(name: string, draft: Draft): void {
	try {
		if (Object.keys(draft).length === 0) sessionStorage.removeItem(name);
		else sessionStorage.setItem(name, JSON.stringify(draft));
	} catch {
		// a browser that keeps nothing: the form works all the same
	}
}
