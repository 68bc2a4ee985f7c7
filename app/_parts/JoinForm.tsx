'use client';

import { useCallback, useEffect, useRef, useState } from 'react';

/** Where joining stands. */
type Joining =
	| { readonly kind: 'asked' }
	| { readonly kind: 'sent' }
	| { readonly kind: 'refused'; readonly message: string };

/**
 * Joins with the code that was scanned, which stands behind the # of the address and is sent to nobody else; or with a typed one.
 *
 * @param isShared - one of many yards is joined here, with a code that the yard was given
 */
export function JoinForm({ isShared }: { readonly isShared: boolean }) {
	const [state, setState] = useState<Joining>({ kind: 'asked' });
	const [typed, setTyped] = useState('');
	const field = useRef<HTMLInputElement>(null);

	const join = useCallback(async (code: string) => {
		setState({ kind: 'sent' });
		const outcome = await sendCode(code);
		if (outcome === undefined) window.location.replace('/');
		else setState({ kind: 'refused', message: outcome });
	}, []);

	useEffect(() => {
		const scanned = () => {
			const code = window.location.hash.slice(1);
			if (code === '') return;
			// the code must not stay in the address bar, to be shared by accident
			window.history.replaceState(null, '', '/join');
			setTyped(code);
			void join(code);
		};
		scanned();
		// scanned while this page is open: the browser stays on it
		window.addEventListener('hashchange', scanned);
		return () => window.removeEventListener('hashchange', scanned);
	}, [join]);

	useEffect(() => {
		if (state.kind === 'refused') field.current?.focus();
	}, [state]);

	return (
		<form
			className="entry-form"
			aria-busy={state.kind === 'sent'}
			onSubmit={(event) => {
				event.preventDefault();
				void join(typed);
			}}
		>
			<p>
				{isShared
					? 'Type the code of your yard; what this device sees and sends is that yard’s alone.'
					: 'Scan the code on the laptop with this phone’s camera, or type it here.'}
			</p>
			<div className={state.kind === 'refused' ? 'field wrong' : 'field'}>
				<label htmlFor="field-code">Code</label>
				<p className="hint" id="hint-code">
					{isShared
						? 'Sixteen letters and digits. Whoever runs Deckside for your yard makes them.'
						: 'Eight letters and digits, on the laptop under Phones.'}
				</p>
				{state.kind === 'refused' ? (
					<p className="problem" id="problem-code" role="alert">
						{state.message}
					</p>
				) : null}
				<input
					id="field-code"
					ref={field}
					type="text"
					value={typed}
					onChange={(event) => setTyped(event.currentTarget.value)}
					autoComplete="off"
					autoCapitalize="characters"
					spellCheck={false}
					required
					maxLength={20}
					aria-describedby={state.kind === 'refused' ? 'hint-code problem-code' : 'hint-code'}
					aria-invalid={state.kind === 'refused'}
				/>
			</div>
			<button type="submit" className="button main" disabled={state.kind === 'sent'}>
				{state.kind === 'sent' ? 'Joining …' : 'Join'}
			</button>
		</form>
	);
}

/** @returns what is wrong, or undefined when this device has joined */
async function sendCode(code: string): Promise<string | undefined> {
	try {
		const answer = await fetch('/api/join', {
			method: 'POST',
			headers: { 'content-type': 'application/json' },
			body: JSON.stringify({ code }),
		});
		if (answer.ok) return undefined;
		const { message, hint } = (await answer.json()) as { message: string; hint: string };
		return `${message} ${hint}`;
	} catch {
		return 'Deckside does not answer. Check that this device is on the right network, and try again.';
	}
}
