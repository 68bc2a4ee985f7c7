import { loadDemoRun, removeDemoRun } from '@/app/_actions/setUpActions';
import { ActionButton } from './ActionButton';

/** Says on every page of the demonstration that it is one. */
export function DemoNotice() {
	return (
		<div className="caution">
			<p>
				<strong>Demonstration: invented, rendered pictures.</strong> No real yard, lot or run stands behind it. The
				figures are worked out on this machine from the pictures and the invented weights.
			</p>
		</div>
	);
}

/** Remove the demonstration, or load it. */
export function DemoActions({ loaded }: { readonly loaded: boolean }) {
	return loaded ? (
		<ActionButton action={removeDemoRun}>Remove the demonstration run</ActionButton>
	) : (
		<ActionButton action={loadDemoRun}>Load the demonstration run</ActionButton>
	);
}
