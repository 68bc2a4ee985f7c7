import {
	BEING_WORKED_OUT,
	beforeSentence,
	behindSentence,
	runsInReadingSentence,
} from '@/lib/report/progressSentences';
import { runsInReading } from '@/lib/store/progress';
import type { RunFigures } from '@/lib/store/runFigures';
import { theStore } from '@/lib/store/theStore';

/** Tells that the figures below are from before the latest change, or that there are none yet; nothing where they are the present ones. */
export function FiguresNote({ figures }: { readonly figures: RunFigures }) {
	if (figures.kind === 'present') return null;
	return <ComesByItself words={figures.kind === 'none' ? BEING_WORKED_OUT : beforeSentence(figures.before)} />;
}

/** The same where figures of several runs stand together. */
export function RunsBehind({ names }: { readonly names: readonly string[] }) {
	return names.length === 0 ? null : <ComesByItself words={behindSentence(names)} />;
}

/** Beside tables of a lot to save: which runs they would hold no figures of. */
export async function RunsInReading({ lotId }: { readonly lotId: string }) {
	const runs = [...(await runsInReading((await theStore()).store, lotId)).values()];
	return runs.length === 0 ? null : <p className="hint">{runsInReadingSentence(runs)}</p>;
}

/** Stands in the place of figures that are being worked out. */
export function BeingWorkedOut() {
	return <ComesByItself words={BEING_WORKED_OUT} />;
}

function ComesByItself({ words }: { readonly words: string }) {
	return (
		<div className="note reading">
			<p role="status">{words} This page comes up to date by itself.</p>
			<noscript>
				<p>Scripts are off in this browser: reload the page after a few seconds.</p>
			</noscript>
		</div>
	);
}
