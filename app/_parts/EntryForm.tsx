'use client';

import { createContext, type ReactNode, useActionState, useContext, useRef } from 'react';
import { answered } from '@/app/_forms/answered';
import { type FormState, FRESH_FORM } from '@/app/_forms/formState';
import { typedNumber } from '@/app/_forms/typedNumber';
import { printRefusal } from '@/lib/report/format';
import { NotYetAnswered } from './ActionButton';
import { ErrorSummary } from './ErrorSummary';
import { useDraft } from './useDraft';
import { useIsAlive } from './useIsAlive';

const Sent = createContext<FormState>(FRESH_FORM);

/** What a field needs to know of the last attempt to send its form: its problem and what was typed. */
export function useField(name: string, initial: string): { readonly value: string; readonly problem?: string } {
	const { problems, typed, attempt } = useContext(Sent);
	const problem = problems.find(({ field }) => field === name)?.message;
	// once sent, a box that is not among the typed fields was left unticked
	return {
		value: attempt === 0 ? initial : (typed[name] ?? ''),
		...(problem === undefined ? {} : { problem: printRefusal(problem) }),
	};
}

/** Counts attempts: fields that browsers do not refill by themselves take it as their key. */
export function useAttempt(): number {
	return useContext(Sent).attempt;
}

/**
 * A form that keeps what was typed, also when its page is left, lists its problems at the top with a link to each field, and sends once however
 * often its button is tapped.
 */
export function EntryForm({
	action,
	submit,
	children,
	beside,
	isAside = false,
}: {
	readonly action: (before: FormState, form: FormData) => Promise<FormState>;
	readonly submit: string;
	readonly children: ReactNode;
	/** Stands next to the main button, a link to leave for example. */
	readonly beside?: ReactNode;
	/** It is not what most people come to the page for: its button does not stand out. */
	readonly isAside?: boolean;
}) {
	const isAlive = useIsAlive();
	const form = useRef<HTMLFormElement>(null);
	const sendOn = answered(
		(before, sent) => action(before, withDecimalCommas(form.current, sent)),
		() => drop(),
	);
	const [state, send, pending] = useActionState(isAlive ? sendOn : action, FRESH_FORM);
	const { isBack, keep, drop } = useDraft(form, { pending, attempt: state.attempt });
	return (
		<form ref={form} action={send} className="entry-form" noValidate aria-busy={pending} onInput={keep}>
			<Sent.Provider value={state}>
				<ErrorSummary {...state} />
				{isBack ? <BroughtBack drop={drop} /> : null}
				{children}
			</Sent.Provider>
			{/* who leaves on purpose leaves nothing behind */}
			<div
				className="form-end"
				onClickCapture={({ target }) => target instanceof Element && target.closest('a') && drop()}
			>
				<button type="submit" className={isAside ? 'button' : 'button main'} disabled={pending}>
					{pending ? 'Saving …' : submit}
				</button>
				{beside}
			</div>
			<NotYetAnswered isSent={pending} />
		</form>
	);
}

/** Puts numbers' fields as they are to be read where this device writes a decimal comma. */
function withDecimalCommas(form: HTMLFormElement | null, sent: FormData): FormData {
	for (const { name } of form?.querySelectorAll<HTMLInputElement>('input[inputmode="decimal"]') ?? []) {
		const typed = sent.get(name);
		if (typeof typed === 'string') sent.set(name, typedNumber(typed));
	}
	return sent;
}

/** Told where fields hold what was typed before the page was left. */
function BroughtBack({ drop }: { readonly drop: () => void }) {
	const startAfresh = () => {
		drop();
		location.reload();
	};
	return (
		<div className="note" role="status">
			<p>What you typed here before is back. It is not saved yet.</p>
			<div className="actions">
				<button type="button" className="button quiet small" onClick={startAfresh}>
					Throw it away
				</button>
			</div>
		</div>
	);
}
