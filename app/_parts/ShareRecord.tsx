'use client';

import { useActionState } from 'react';
import { type MadeLink, shareRecord } from '@/app/_actions/recordActions';
import { CodeToScan } from './CodeToScan';

const NOTHING: MadeLink = {};

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
	const [{ address }, send, pending] = useActionState(shareRecord, NOTHING);
	return (
		<>
			<form action={send} className="entry-form">
				<input type="hidden" name="id" value={id} />
				<input type="hidden" name="recordId" value={recordId} />
				<div className="field">
					<label htmlFor="field-days">How long it lasts</label>
					<select id="field-days" name="days" defaultValue="30">
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
