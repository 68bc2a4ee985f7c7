'use client';

import { useActionState } from 'react';
import { type MadeLink, shareRecord } from '@/app/_actions/recordActions';
import { whyUnanswered } from '@/app/_forms/answered';
import { NotYetAnswered, Unanswered } from './ActionButton';
import { CodeToScan } from './CodeToScan';
import { useIsAlive } from './useIsAlive';

const NOTHING: MadeLink = {};

/** The same as `shareRecord`, called from the browser: where nobody answers, it says so. */
async function askForLink(before: MadeLink, form: FormData): Promise<MadeLink> {
	try {
		return await shareRecord(before, form);
	} catch (error) {
		return { why: await whyUnanswered(error), days: String(form.get('days')) };
	}
}

/** Makes a link to a record and shows it, this once and until it is revoked. */
export function ShareRecord({
	id,
	recordId,
	days,
	revoked,
}: {
	/** Of the link to be made: the same request sent twice makes one. */
	readonly id: string;
	readonly recordId: string;
	readonly days: readonly number[];
	/** Ids of the links that lead nowhere any more. */
	readonly revoked: readonly string[];
}) {
	const [{ address, link = '', why, told, days: chosen = '30' }, send, pending] = useActionState(
		useIsAlive() ? askForLink : shareRecord,
		NOTHING,
	);
	return (
		<>
			<form action={send} className="entry-form">
				<input type="hidden" name="id" value={id} />
				<input type="hidden" name="recordId" value={recordId} />
				<div className="field">
					<label htmlFor="field-days">How long it lasts</label>
					<select id="field-days" name="days" key={chosen} defaultValue={chosen}>
						{days.map((one) => (
							<option key={one} value={one}>
								{one} days
							</option>
						))}
					</select>
				</div>
				<button type="submit" className="button" disabled={pending}>
					Make a link
				</button>
			</form>
			<NotYetAnswered isSent={pending} />
			<Unanswered {...(why === undefined ? {} : { why })} />
			{told === undefined ? null : (
				<div className="caution" role="alert">
					<p>{told}</p>
				</div>
			)}
			{address === undefined || revoked.includes(link) ? null : (
				<div className="note made-link" role="status">
					<p>
						Copy the link now; it is not shown again.{' '}
						{isOfThisMachine(address)
							? 'It opens on this machine alone. For a link that others on the network can open, start Deckside with npm start -- --lan and make another one:'
							: 'It works where this address can be reached:'}{' '}
						<a className="long-address" href={address}>
							{address}
						</a>
					</p>
					{isOfThisMachine(address) ? null : <CodeToScan text={address} label="The link as a code to scan" />}
				</div>
			)}
		</>
	);
}

function isOfThisMachine(address: string): boolean {
	return /^https?:\/\/(localhost|127\.|\[)/.test(address);
}
