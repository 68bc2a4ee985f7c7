import { printSentence } from '@/lib/report/format';
import { checkWarnings } from '@/lib/report/runWarnings';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import type { Store } from '@/lib/store/database';
import { figuresOf } from '@/lib/store/runFigures';
import type { RunBoard } from '@/lib/store/workedRun';

/** What whoever relies on a run's figures must know: what its balance and its checks say against them. */
export async function RunCautions({
	store,
	pool,
	board,
}: {
	readonly store: Store;
	readonly pool: AnalysisPool;
	readonly board: RunBoard;
}) {
	const figures = await figuresOf(store, pool, board);
	if (figures.kind === 'none') return null;
	return [...figures.worked.account.warnings, ...checkWarnings(figures.worked)].map(({ message }) => (
		<div className="caution" key={message}>
			<p>{printSentence(message)}</p>
		</div>
	));
}
