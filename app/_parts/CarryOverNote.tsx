import { carryOverWarning } from '@/lib/report/carryOver';
import type { RunFile } from '@/lib/report/runFile';

/** Stands on every result of a run that may hold what was left from before. */
export function CarryOverNote({ settings }: { readonly settings: RunFile['settings'] }) {
	const warning = carryOverWarning(settings);
	if (warning === undefined) return null;
	return (
		<div className="caution">
			<p>{warning.message}</p>
		</div>
	);
}
