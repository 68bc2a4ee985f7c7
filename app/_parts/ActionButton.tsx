'use client';

import Link from 'next/link';
import { type ReactNode, startTransition, useActionState } from 'react';
import { whyUnanswered } from '@/app/_forms/answered';
import { useSilence } from './useSilence';

/** A press that was not answered, counted, so that each is read aloud. */
interface Press {
	readonly why?: Awaited<ReturnType<typeof whyUnanswered>>;
	readonly presses: number;
}

/** One button that does one thing to the thing named by `id`, and does it once. Where nobody answers, the page stays and it says so. */
export function ActionButton({
	action,
	id,
	fields,
	children,
	className = 'button quiet',
	label,
}: {
	readonly action: (form: FormData) => Promise<void>;
	readonly id?: string;
	/** What is chosen before it is pressed. */
	readonly fields?: ReactNode;
	readonly children: ReactNode;
	readonly className?: string;
	/** The button's name read aloud, where several on a page read alike; begins with its words. */
	readonly label?: string;
}) {
	const [{ why, presses }, send, pending] = useActionState(async (before: Press, form: FormData) => {
		const presses = before.presses + 1;
		try {
			await action(form);
			return { presses };
		} catch (error) {
			return { why: await whyUnanswered(error), presses };
		}
	}, NEVER_PRESSED);
	const button = (
		<button type="submit" className={className} disabled={pending} aria-label={label}>
			{children}
		</button>
	);
	return (
		<form
			action={action}
			{...(fields === undefined ? {} : { className: 'entry-form' })}
			onSubmit={(event) => {
				// sent by the browser, or as an action, what was chosen would be gone where nobody answers
				event.preventDefault();
				const form = new FormData(event.currentTarget);
				startTransition(() => send(form));
			}}
		>
			{id === undefined ? null : <input type="hidden" name="id" value={id} />}
			{fields}
			{fields === undefined ? button : <div className="form-end">{button}</div>}
			<Unanswered key={presses} {...(pending || why === undefined ? {} : { why })} />
			<NotYetAnswered isSent={pending} />
		</form>
	);
}

const NEVER_PRESSED: Press = { presses: 0 };

/** Said where what was sent waits for a laptop out of reach: it is on its way, and nothing need be pressed again. */
export function NotYetAnswered({ isSent }: { readonly isSent: boolean }) {
	const silence = useSilence(isSent);
	if (silence === 'shut out') return <Unanswered why={silence} />;
	return silence === 'no answer' ? (
		<div className="caution" role="alert">
			<p>
				The laptop does not answer yet. See that this device is on its Wi-Fi and that Deckside runs: this goes on by
				itself once it does.
			</p>
		</div>
	) : null;
}

/** Said beside a button that was pressed while nobody answered. */
export function Unanswered({ why }: Pick<Press, 'why'>) {
	if (why === undefined) return null;
	return (
		<div className="caution" role="alert">
			{why === 'no answer' ? (
				<p>
					The laptop does not answer. See that this device is on its Wi-Fi and that Deckside runs, then press again.
				</p>
			) : (
				<>
					<p>
						The laptop does not know this device any more. Join again with the code that the laptop shows under Phones,
						then come back to this page and press again.
					</p>
					<Link className="button small" href="/join">
						Join again
					</Link>
				</>
			)}
		</div>
	);
}
