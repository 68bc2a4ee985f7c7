'use client';

import { useRouter } from 'next/navigation';
import { useCallback, useEffect, useState } from 'react';
import { askContact, isContactDoubtful, lookAfterLinks } from './contact';

/**
 * Keeps the page where a link is followed while nobody answers: the browser would put a page of its own in its place, from which there
 * is no way back to what was here. Asks first only where there is reason to doubt.
 */
export function StayWhileUnanswered() {
	const router = useRouter();
	const [wanted, setWanted] = useState<string | undefined>(undefined);

	const follow = useCallback(
		async (address: string) => {
			const readiness = await askContact();
			setWanted(readiness === 'no answer' ? address : undefined);
			if (readiness === 'answers') router.push(address);
			// the page may wait for parts of its own that a forgotten device is not given, and every way on inside it with them
			if (readiness === 'shut out') location.assign(address);
		},
		[router],
	);

	useEffect(() => {
		const stay = (event: MouseEvent) => {
			const address = addressOf(event);
			if (address === undefined || !isContactDoubtful()) return;
			event.preventDefault();
			event.stopImmediatePropagation();
			void follow(address);
		};
		// before the page's own handlers, which throw away what was typed when a form is left on purpose
		window.addEventListener('click', stay, true);
		const leaveOff = lookAfterLinks((address) => void follow(address));
		const staySent = (event: SubmitEvent) => {
			const address = addressAsked(event);
			if (address === undefined || !isContactDoubtful()) return;
			event.preventDefault();
			void follow(address);
		};
		// after the page's own handlers, which send what is no address themselves
		window.addEventListener('submit', staySent);
		return () => {
			window.removeEventListener('click', stay, true);
			window.removeEventListener('submit', staySent);
			leaveOff();
		};
	}, [follow]);

	if (wanted === undefined) return null;
	return (
		<div className="stays" role="alert">
			<p>
				<strong>The laptop does not answer, so this page stays.</strong> See that this device is on its Wi-Fi. Photos
				taken here are kept and sent later.
			</p>
			<div className="actions">
				<button type="button" className="button" onClick={() => void follow(wanted)}>
					Try again
				</button>
				<button type="button" className="button quiet" onClick={() => setWanted(undefined)}>
					Stay here
				</button>
			</div>
		</div>
	);
}

/** Where a plain tap on a link of ours leads; undefined for any other tap. */
function addressOf(event: MouseEvent): string | undefined {
	const { button, ctrlKey, metaKey, shiftKey, altKey, target } = event;
	if (button !== 0 || ctrlKey || metaKey || shiftKey || altKey || !(target instanceof Element)) return undefined;
	const link = target.closest('a');
	// a file that can't be fetched leaves the page where it is
	if (link === null || link.target !== '' || link.hasAttribute('download')) return undefined;
	if (link.origin !== location.origin) return undefined;
	const here = link.pathname === location.pathname && link.search === location.search;
	return here && link.hash !== '' ? undefined : link.href;
}

/** The address of ours that a form asks for by what is filled in; undefined for any other form. */
function addressAsked({ defaultPrevented, target }: SubmitEvent): string | undefined {
	if (defaultPrevented || !(target instanceof HTMLFormElement) || target.method !== 'get') return undefined;
	const address = new URL(target.action);
	if (address.origin !== location.origin) return undefined;
	const asked = [...new FormData(target)].filter((field): field is [string, string] => typeof field[1] === 'string');
	address.search = new URLSearchParams(asked).toString();
	return address.href;
}
