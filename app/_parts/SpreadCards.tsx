import Link from 'next/link';
import { printSentence, printShare } from '@/lib/report/format';
import { HELD_SENTENCES } from '@/lib/report/progressSentences';
import { GRADED_NAMES } from '@/lib/report/sentences';
import type { ProductOnBoard, ReadPhoto } from '@/lib/store/workedRun';
import { PhotoPicture } from './PhotoPicture';

/** The spreads of a product: a small picture of each photo and what it says in one line. */
export function SpreadCards({
	runId,
	spreads,
}: {
	readonly runId: string;
	readonly spreads: ProductOnBoard['spreads'];
}) {
	if (spreads.length === 0) return <p>No photos yet. Spread a scoop on the mat and take the first one.</p>;
	return (
		<ul className="thumbs">
			{spreads.flatMap((spread) =>
				spread.photos.map((photo, p) => (
					<li className="thumb" key={photo.id}>
						<PhotoPicture id={photo.id} isSmall />
						<p>
							<Link href={`/runs/${runId}/spreads/${spread.id}#photo-${photo.id}`}>
								Spread {spread.number}
								{spread.photos.length > 1 ? `, photo ${p + 1}` : ''}
							</Link>
						</p>
						<p>{outcomeSentence(photo)}</p>
					</li>
				)),
			)}
		</ul>
	);
}

/** What became of a photo, in one line. */
function outcomeSentence({ state, analysis }: ReadPhoto): string {
	if (state.kind === 'refused') return printSentence(`Could not be read: ${state.message}`);
	if (state.kind === 'held') return HELD_SENTENCES[state.why];
	if (state.kind === 'queued') return 'Waits to be read.';
	if (state.kind === 'reading' || analysis === undefined) return 'Is being read.';
	const warnings = analysis.warnings.length;
	const warned = warnings === 0 ? '' : ` ${warnings === 1 ? '1 warning' : `${warnings} warnings`}.`;
	return `${GRADED_NAMES.copper} ${printShare(analysis.massFraction.copper)}.${warned}`;
}
