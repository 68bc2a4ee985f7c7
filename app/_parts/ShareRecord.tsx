'use client';

import { useActionState } from 'react';
import { type MadeLink, shareRecord } from '@/app/_actions/recordActions';
import { whyUnanswered } from '@/app/_forms/answered';
import { CodeToScan } from './CodeToScan';
import { useIsAlive } from './useIsAlive';

const NOTHING: MadeLink = {};

const WHY = {
	'no answer':
		'The laptop does not answer, so there is no link to copy yet. See that this device is on its Wi-Fi and that Deckside runs, then try again.',
	'shut out':
		'The laptop does not know this device any more. Join again with the code that the laptop shows under Phones, then come back to this page and try again.',
} as const;

/** The same as `shareRecord`, called from the browser: where nobody answers, it says so. */
async function askForLink(before: MadeLink, form: FormData): Promise<MadeLink> {
	try {
		return await shareRecord(before, form);
	} catch (error) {
		return { why: await whyUnanswered(error), days: String(form.get('days')) };
	}
}

/** Makes a link to a record and shows it, this once. */
export function ShareRecord({
	id,
	recordId,
	days,
}: {
	/** Of the link to be made: the same request sent twice makes one. */
	readonly id: string;
	readonly recordId: string;
	readonly days: readonly number[];
}) {
	const [{ address, why, days: chosen = '30' }, send, pending] = useActionState(
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
			{why === undefined ? null : (
				<div className="caution" role="alert">
					<p>{WHY[why]}</p>
				</div>
			)}
			{address === undefined ? null : (
				<div className="note made-link" role="status">
					<p>
						Copy the link now; it is not shown again. It works where this address can be reached:{' '}
						<a className="long-address" href={address}>
							{address}
						</a>
					</p>
					<CodeToScan text={address} label="The link as a code to scan" />
				</div>
			)}
		</>
	);
}
