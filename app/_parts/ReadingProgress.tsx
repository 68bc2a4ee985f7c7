'use client';

import { useRouter } from 'next/navigation';
import { useEffect, useRef, useState } from 'react';
import { resumeReading, stopReading } from '@/app/_actions/queueActions';
import { progressSentence, stoppedSentence } from '@/lib/report/progressSentences';
import { awaitingMark } from '@/lib/store/pageMark';
import type { Progress } from '@/lib/store/progress';
import { ActionButton } from './ActionButton';
import { listenTo } from './listenTo';
import { refreshWhenAnswered } from './refreshWhenAnswered';

interface Watched {
	/** Watch this run's photos only. */
	readonly run?: string;
	/** As it stood when the page was made. */
	readonly initial: Progress;
	/** The name of a result that the page waits for. */
	readonly awaited?: string | undefined;
}

/** Counts photos as they are read, and brings the page up to date. */
export function ReadingProgress(watched: Watched) {
	const progress = useProgress(watched);
	const { run } = watched;
	const { open, photos, stopped } = progress;
	const read = progress.graded + progress.refused;
	// how many were read before; a photo that is read at once is never seen open
	const [before, remember] = useState(read);
	const most = open > 0 ? read - 1 : read;
	if (before > most) remember(most);
	const id = run === undefined ? {} : { id: run };
	return (
		<>
			{open === 0 ? null : (
				<div className="note reading">
					<p role="status">{progressSentence(progress)}</p>
					<progress value={photos - open} max={photos} aria-label="Photos read" />
					<ActionButton action={stopReading} {...id} className="button quiet small">
						Stop reading
					</ActionButton>
				</div>
			)}
			{stopped === 0 ? null : (
				<div className="note reading">
					<p>{stoppedSentence(stopped)}</p>
					<ActionButton action={resumeReading} {...id} className="button small">
						Go on reading
					</ActionButton>
				</div>
			)}
			{/* that the count is gone tells who sees it; it stands here before it speaks, since what comes as a whole may not be read out */}
			<p role="status" className="visually-hidden">
				{read > before && open === 0 && stopped === 0 ? 'Reading is done.' : ''}
			</p>
		</>
	);
}

/** Brings a page up to date that counts no photos. */
export function StaysUpToDate(watched: Watched) {
	useProgress(watched);
	return null;
}

/**
 * How far reading has come. The page is asked for anew whenever what is on record is no longer what it was made with: every event carries the
 * whole state, so a reading that begins and ends while nobody listens is noticed too.
 */
function useProgress({ run, initial, awaited }: Watched): Progress {
	const router = useRouter();
	const [progress, show] = useState(initial);
	const mark = awaited === undefined ? initial.mark : awaitingMark(initial.mark, false);
	const onPage = useRef(mark);
	const askedFor = useRef('');
	useEffect(() => {
		onPage.current = mark;
		askedFor.current = '';
		show(initial);
	}, [initial, mark]);

	useEffect(() => {
		let stopAsking = () => {};
		const stopListening = listenTo<Progress>(addressOf(run, awaited), (next) => {
			show(next);
			// asked once for each state: a page that takes long to come is not asked for anew
			if (next.mark === onPage.current || next.mark === askedFor.current) return;
			askedFor.current = next.mark;
			stopAsking();
			stopAsking = refreshWhenAnswered(() => router.refresh());
		});
		return () => {
			stopListening();
			stopAsking();
		};
	}, [run, awaited, router]);
	return progress;
}

function addressOf(run: string | undefined, awaited: string | undefined): string {
	const asked = new URLSearchParams({
		...(run === undefined ? {} : { run }),
		...(awaited === undefined ? {} : { awaited }),
	});
	return asked.size === 0 ? '/api/events' : `/api/events?${asked}`;
}
