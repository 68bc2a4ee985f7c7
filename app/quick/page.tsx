import type { Metadata } from 'next';
import Link from 'next/link';
import { QuickShot } from '@/app/_parts/QuickShot';
import { QuickSteps } from '@/app/_parts/QuickSteps';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { UndoBar } from '@/app/_parts/UndoBar';
import { printSentence, printShare } from '@/lib/report/format';
import { printDayOf } from '@/lib/report/printMoment';
import { HELD_SENTENCES } from '@/lib/report/progressSentences';
import { GRADED_NAMES } from '@/lib/report/sentences';
import { getAnalyses } from '@/lib/store/analyses';
import { progressOf } from '@/lib/store/progress';
import { listQuickChecks, type QuickCheck } from '@/lib/store/quickChecks';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Quick check' };

/** One photo in, a grade out, no run and no set-up. */
export default async function Quick({ searchParams }: PageProps<'/quick'>) {
	const { store, pool } = await theStore();
	const progress = await progressOf(store, QUICK_RUN_ID, pool.size);
	const checks = await listQuickChecks(store);
	return (
		<>
			<UndoBar query={await searchParams} />
			<h1>Quick check</h1>
			<QuickSteps now="photo" />
			<p className="lead">
				Spread a scoop in one layer on the printed mat or a plain tray and photograph it from above. Nothing has to be
				set up.
			</p>
			<QuickShot />
			<ReadingProgress run={QUICK_RUN_ID} initial={progress} />
			<section>
				<h2>Checks not kept or thrown away yet</h2>
				{checks.length === 0 ? (
					<p>None. A check stays here until you keep it in a run or throw it away.</p>
				) : (
					<ul className="lines">
						{
							await Promise.all(
								checks.map(async (check) => (
									<li key={check.id}>
										<Link className="line-link" href={`/quick/${check.id}`}>
											<strong>{check.photos[0]?.originalName ?? 'No photo'}</strong>
											<span className="soft">{printDayOf(check.name)}</span>
											<span>{await outcomeOf(check)}</span>
										</Link>
									</li>
								)),
							)
						}
					</ul>
				)}
			</section>
		</>
	);
}

/** What a check says, in one line. */
async function outcomeOf({ photos: [photo] }: QuickCheck): Promise<string> {
	if (photo === undefined) return '';
	const { state } = photo;
	if (state.kind === 'refused') return printSentence(`Could not be read: ${state.message}`);
	if (state.kind === 'held') return HELD_SENTENCES[state.why];
	if (state.kind !== 'graded') return 'Waits to be read.';
	const { store } = await theStore();
	const analysis = (await getAnalyses(store, [state.analysisKey])).get(state.analysisKey);
	return analysis === undefined ? '' : `${GRADED_NAMES.copper} ${printShare(analysis.massFraction.copper)}`;
}
