import { printDay } from '@/lib/report/format';
import type { RunLine } from '@/lib/store/runs';

/** Boxes to pick the runs that are set against each other. */
export function ChooseRuns({
	runs,
	chosen,
}: {
	readonly runs: readonly RunLine[];
	readonly chosen: readonly string[];
}) {
	return (
		<form action="/compare" className="entry-form">
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
			</div>
		</form>
	);
}
