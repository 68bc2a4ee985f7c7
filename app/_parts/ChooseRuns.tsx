import { printDay } from '@/lib/report/format';
import type { RunLine } from '@/lib/store/runs';
import type { PagePlace } from './Pages';

/** Boxes to pick the runs that are set against each other; what is ticked stays so on the way to older ones. */
export function ChooseRuns({
	runs,
	chosen,
	lotId,
	pages: { page, hasOlder },
}: {
	readonly runs: readonly RunLine[];
	readonly chosen: readonly string[];
	/** The lot whose runs alone are listed. */
	readonly lotId: string | undefined;
	readonly pages: PagePlace;
}) {
	return (
		<form action="/compare" className="entry-form">
			{lotId === undefined ? null : <input type="hidden" name="lot" value={lotId} />}
			<fieldset className="plain">
				<legend>Runs to compare</legend>
				{runs.map(({ id, name, runDate, lotName }) => (
					<label className="check" key={id}>
						<input type="checkbox" name="run" value={id} defaultChecked={chosen.includes(id)} />
						<span>
							{name}, {printDay(runDate)}, <span className="soft">lot {lotName}</span>
						</span>
					</label>
				))}
			</fieldset>
			<div className="form-end">
				<button type="submit" className="button main">
					Compare these runs
				</button>
				{page === 1 ? null : (
					<button type="submit" className="button quiet" name="page" value={page - 1}>
						Newer runs
					</button>
				)}
				{hasOlder ? (
					<button type="submit" className="button quiet" name="page" value={page + 1}>
						Older runs
					</button>
				) : null}
			</div>
		</form>
	);
}
