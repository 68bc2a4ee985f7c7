'use client';

import Link from 'next/link';
import { useState } from 'react';
import { discard, sendAgain, sendAsQuickCheck, sendNow } from '@/app/_outbox/outbox';
import { EMPTY_OUTBOX, type OutboxPhoto, type OutboxView } from '@/app/_outbox/outboxView';
import { useOutbox } from '@/app/_outbox/useOutbox';
import { refusedCountSentence, unsentSafetySentence, unsentSentence } from '@/lib/report/progressSentences';

/** On every screen: how many photos the laptop does not have yet, and what to do about those it will not take. */
export function OutboxBar() {
	const outbox = useOutbox();
	const { photos, trouble } = outbox;
	const unsent = photos.filter(({ state }) => state.kind === 'waiting' || state.kind === 'sending');
	const refused = photos.filter(({ state }) => state.kind === 'refused');
	return (
		<section className="outbox" aria-label="Photos to send">
			<p role="status" className={unsent.length === 0 ? 'visually-hidden' : 'outbox-count'}>
				{unsent.length === 0 ? '' : unsentSentence(unsent.length)}
			</p>
			{unsent.length + refused.length === 0 && outbox !== EMPTY_OUTBOX ? (
				<p className="outbox-none">No photo waits to be sent.</p>
			) : null}
			{unsent.length === 0 ? null : <Sending unsent={unsent} {...(trouble === undefined ? {} : { trouble })} />}
			{refused.length === 0 ? null : <Refused refused={refused} />}
		</section>
	);
}

function Sending({ unsent, trouble }: { readonly unsent: readonly OutboxPhoto[] } & Pick<OutboxView, 'trouble'>) {
	const now = unsent.find(({ state }) => state.kind === 'sending');
	const share = now?.state.kind === 'sending' ? now.state.share : undefined;
	return (
		<div className="outbox-work">
			{share === undefined ? null : <progress value={share} max={1} aria-label="This photo sent" />}
			{trouble === undefined ? null : (
				<>
					<p>
						{trouble.message}{' '}
						{unsentSafetySentence(
							unsent.length,
							unsent.every(({ lasting }) => lasting),
						)}
					</p>
					{trouble.mustJoin ? (
						<Link className="button small" href="/join">
							Join again
						</Link>
					) : (
						<button type="button" className="button small" onClick={sendNow}>
							Send now
						</button>
					)}
				</>
			)}
		</div>
	);
}

function Refused({ refused }: { readonly refused: readonly OutboxPhoto[] }) {
	const [isOpen, setOpen] = useState(false);
	return (
		<details className="outbox-refused" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
			<summary>{refusedCountSentence(refused.length)}</summary>
			<ul className="uploads">
				{(isOpen ? refused : []).map(({ id, name, state, placeGone }) => (
					<li key={id}>
						<p>
							<strong>{name}</strong>: {state.kind === 'refused' ? state.message : ''}
						</p>
						<div className="actions">
							{placeGone ? (
								<button type="button" className="button small" onClick={() => void sendAsQuickCheck(id)}>
									Send as a quick check
								</button>
							) : null}
							<button type="button" className="button small" onClick={() => void sendAgain(id)}>
								Send again
							</button>
							<button type="button" className="button quiet small" onClick={() => void discard(id)}>
								Throw away
							</button>
						</div>
					</li>
				))}
			</ul>
		</details>
	);
}
