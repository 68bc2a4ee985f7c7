'use client';

import { useState } from 'react';
import type { Problem } from '@/app/_forms/formState';
import { RERUN_SHARES } from '@/app/_forms/rerunForm';
import { AddressField } from './AddressField';
import { ErrorSummary } from './ErrorSummary';
import type { PagePlace } from './Pages';

/** Where the split is taken from: a list, and fields for an assumed one. Sent in the address, so that the page can be kept. */
export function RerunForm({
	runs,
	pages: { page, hasOlder },
	typed,
	problems,
}: {
	/** Runs that can be chosen now: a part of them all, and the one that is chosen. */
	readonly runs: readonly { readonly id: string; readonly name: string }[];
	readonly pages: PagePlace;
	readonly typed: Readonly<Record<string, string>>;
	readonly problems: readonly Problem[];
}) {
	const [from, setFrom] = useState(typed.from ?? 'this');
	return (
		<form className="entry-form">
			<ErrorSummary problems={problems} attempt={1} />
			<div className="field">
				<label htmlFor="field-from">The rerun splits like</label>
				{from === 'this' ? (
					<p className="hint" id="field-from-hint">
						Like this run is the hopeful side: middlings hold the awkward pieces.
					</p>
				) : null}
				<select
					id="field-from"
					name="from"
					value={from}
					aria-describedby={from === 'this' ? 'field-from-hint' : undefined}
					onChange={(event) => setFrom(event.target.value)}
				>
					<option value="this">this run</option>
					<option value="assumed">shares that I enter</option>
					{runs.map(({ id, name }) => (
						<option key={id} value={id}>
							{`the measured run ${name}`}
						</option>
					))}
				</select>
			</div>
			{from === 'assumed' ? (
				<div className="pair">
					{RERUN_SHARES.map(({ field, label }) => (
						<div key={field}>
							<AddressField name={field} label={`${label}, %`} typed={typed} problems={problems} />
							<AddressField
								name={`${field}U`}
								label="may be off by, points (one standard uncertainty)"
								typed={typed}
								problems={problems}
							/>
						</div>
					))}
				</div>
			) : null}
			<AddressField
				name="batchKg"
				label="Stock wanted for a batch of middlings, kg (optional)"
				typed={typed}
				problems={problems}
			/>
			<div className="form-end">
				<button type="submit" className="button main">
					Work it out
				</button>
				{page === 1 ? null : <MoreRuns page={page - 1}>Offer newer runs</MoreRuns>}
				{hasOlder ? <MoreRuns page={page + 1}>Offer older runs</MoreRuns> : null}
			</div>
		</form>
	);
}

/** Asks for another part of the list; what is typed stays. */
function MoreRuns({ page, children }: { readonly page: number; readonly children: string }) {
	return (
		<button type="submit" className="button quiet" name="page" value={page}>
			{children}
		</button>
	);
}
