import Link from 'next/link';
import { letTeach, stopTeaching } from '@/app/_actions/checkActions';
import { checkText } from '@/lib/report/checkText';
import { printDay } from '@/lib/report/format';
import { type KeptLesson, listLessons, MOST_LESSONS } from '@/lib/store/lessons';
import { theStore } from '@/lib/store/theStore';
import { ActionButton } from './ActionButton';
import { listedAs, Pages } from './Pages';

/** What a material rests on beside its starting values: checks of runs, each to be left out and taken in again. */
export async function MaterialLessons({
	material,
	query,
}: {
	readonly material: string;
	/** Of the page; `of` says which material its number is about. */
	readonly query: Parameters<typeof listedAs>[0];
}) {
	const { store } = await theStore();
	const all = await listLessons(store, { material, demo: false });
	const { lines: lessons, ...pages } = await listedAs(query.of === material ? query : {}, async ({ limit, skip }) =>
		all.slice(skip, skip + limit),
	);
	return (
		<>
			<h3>What checks taught it</h3>
			{all.length === 0 ? (
				<p className="narrow">
					Nothing yet. A hand sort, a blank or stripped insulation of any run counts for all runs of this material.
				</p>
			) : (
				<>
					<p className="narrow">
						These count for all runs of this material, not only their own, unless left out: for each run the latest{' '}
						{MOST_LESSONS}.
					</p>
					<ul className="lines narrow">
						{lessons.map((lesson) => (
							<LessonLine key={lesson.checkId} lesson={lesson} />
						))}
					</ul>
					<Pages {...pages} at={`/materials?${new URLSearchParams({ of: material })}&`} what="checks" />
				</>
			)}
		</>
	);
}

function LessonLine({ lesson }: { readonly lesson: KeptLesson }) {
	const { checkId, entry, runId, runName, runDate, productId, productName, isTaught } = lesson;
	return (
		<li className="acted-on">
			<p>
				<Link href={`/runs/${runId}/products/${productId}/checks`}>
					{productName}, {runName}, {printDay(runDate)}
				</Link>
				: {checkText(entry)}
				{isTaught ? '' : ' Left out: it counts for its own run alone.'}
			</p>
			<ActionButton action={isTaught ? stopTeaching : letTeach} id={checkId} className="button small">
				{isTaught ? 'Leave out of other runs' : 'Use for other runs again'}
			</ActionButton>
		</li>
	);
}
