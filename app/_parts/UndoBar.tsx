import { undeleteCheck } from '@/app/_actions/checkActions';
import { undeleteLot } from '@/app/_actions/lotActions';
import { undeletePhoto } from '@/app/_actions/photoActions';
import { undeleteProduct } from '@/app/_actions/productActions';
import { undeleteQuickCheck } from '@/app/_actions/quickActions';
import { undeleteRun } from '@/app/_actions/runActions';
import { undeleteMaterial } from '@/app/_actions/setUpActions';
import { ActionButton } from './ActionButton';

const UNDO = {
	lot: { words: 'The lot and its runs were removed.', action: undeleteLot },
	run: { words: 'The run was removed.', action: undeleteRun },
	product: { words: 'The product was removed.', action: undeleteProduct },
	photo: { words: 'The photo was removed.', action: undeletePhoto },
	quick: { words: 'The quick check was thrown away.', action: undeleteQuickCheck },
	check: { words: 'The check was removed.', action: undeleteCheck },
	material: { words: 'The material was removed.', action: undeleteMaterial },
} as const;

/** After something was removed: says so and offers to bring it back. */
export function UndoBar({ query }: { readonly query: Record<string, string | string[] | undefined> }) {
	const kind = Object.keys(UNDO).find((name) => name === query.undo) as keyof typeof UNDO | undefined;
	if (kind === undefined || typeof query.id !== 'string') return null;
	return (
		<div className="undo" role="status">
			<p>{UNDO[kind].words}</p>
			<ActionButton action={UNDO[kind].action} id={query.id} className="button small">
				Bring it back
			</ActionButton>
		</div>
	);
}
