import { deleteCheck } from '@/app/_actions/checkActions';
import { isOfSpread, isSuperseded } from '@/lib/grade/checkEntry';
import { blankDoubt, checkText } from '@/lib/report/checkText';
import type { KeptCheck } from '@/lib/store/checks';
import { copperSeenOn, type ProductOnBoard } from '@/lib/store/workedRun';
import { ActionButton } from './ActionButton';

/** Checks on record, each with a button to take it away. */
export function CheckList({
	checks,
	spreads,
}: {
	readonly checks: readonly KeptCheck[];
	readonly spreads: ProductOnBoard['spreads'];
}) {
	if (checks.length === 0) return null;
	const entries = checks.map(({ entry, spreadId }) => ({ kind: entry.kind, spreadId }));
	return (
		<ul className="lines narrow">
			{checks.map(({ id, entry, spreadId }, at) => {
				const spread = spreads.find((one) => one.id === spreadId);
				const text = checkText(entry, spread?.number);
				const copper = copperSeenOn(spread);
				const doubt = entry.kind === 'blank' && copper !== undefined ? blankDoubt(copper) : undefined;
				return (
					<li key={id} className="acted-on">
						<div>
							<p>
								{text}
								{isOfSpread(entry) && spread === undefined ? ' Its spread was removed, so it does not count.' : ''}
								{isSuperseded(entries, at, (one) => one.spreadId) ? ' A later one of this spread counts instead.' : ''}
							</p>
							{doubt === undefined ? null : (
								<div className="caution">
									<p>{doubt}</p>
								</div>
							)}
						</div>
						<ActionButton action={deleteCheck} id={id} className="button quiet small" label={`Remove: ${text}`}>
							Remove
						</ActionButton>
					</li>
				);
			})}
		</ul>
	);
}
