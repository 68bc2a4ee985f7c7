import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { leaveOutUnread } from '@/app/_actions/photoActions';
import { nextBin, tableAddress } from '@/app/_forms/tableSteps';
import { ActionButton } from '@/app/_parts/ActionButton';
import { findBoard } from '@/app/_parts/findBoard';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { TableShot } from '@/app/_parts/TableShot';
import { TableTrail } from '@/app/_parts/TableTrail';
import { printSentence } from '@/lib/report/format';
import { isPhotographed } from '@/lib/store/photographed';
import type { PhotoState } from '@/lib/store/photos';
import { theStore } from '@/lib/store/theStore';
import type { ReadPhoto } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Photograph' };

/** Photograph one bin's spread, look at once whether the picture serves, and go on. */
export default async function TableShoot({ params }: PageProps<'/runs/[runId]/table/[productId]'>) {
	const { runId, productId } = await params;
	const { board, progress } = await findBoard(await theStore(), runId);
	const { run, products } = board;
	const bin = products.find(({ id }) => id === productId);
	if (bin === undefined) notFound();
	const weigh = `/runs/${run.id}/table/${bin.id}/weigh`;
	const next = nextBin(products, bin.id);
	const refused = bin.spreads.flatMap(({ photos }) => photos).filter(isRefused);
	const onwards =
		bin.weighing === undefined
			? { href: weigh, label: 'Weigh this bin' }
			: { href: tableAddress(run.id, next), label: next === undefined ? 'All bins done' : `Next: ${next.name}` };
	return (
		<div className="at-table">
			<TableTrail id={run.id} name={run.name} />
			<h1>Photograph {bin.name}</h1>
			<NotRead runId={run.id} binId={bin.id} photos={refused} />
			<TableShot
				product={bin.id}
				known={bin.spreads.flatMap(({ photos }) => photos.map(({ id }) => id))}
				refused={refused.map(({ id }) => id)}
				photographed={bin.spreads.filter(isPhotographed).map(({ id }) => id)}
				onwards={onwards}
			/>
			{/* comes and goes by itself: below, so that no button moves under the finger */}
			<ReadingProgress run={run.id} initial={progress} />
		</div>
	);
}

type Refused = ReadPhoto & { readonly state: Extract<PhotoState, { kind: 'refused' }> };

function isRefused(photo: ReadPhoto): photo is Refused {
	return photo.state.kind === 'refused';
}

/** What the reading could make nothing of, told where it can still be taken again. */
function NotRead({
	runId,
	binId,
	photos,
}: {
	readonly runId: string;
	readonly binId: string;
	readonly photos: readonly Refused[];
}) {
	const latest = photos.at(-1);
	if (latest === undefined) return null;
	const { id, spreadId, state } = latest;
	return (
		<div className="note refused" role="alert">
			<p>
				<strong>{photos.length === 1 ? 'A photo' : `${photos.length} photos`} of this bin could not be read.</strong>{' '}
				{photos.length === 1 ? '' : 'The latest: '}
				{printSentence(state.message)} {printSentence(state.hint)}
			</p>
			<div className="actions">
				<Link className="button small" href={`/runs/${runId}/spreads/${spreadId}#photo-${id}`}>
					See the photo, or set a tray&rsquo;s corners
				</Link>
				<ActionButton action={leaveOutUnread} id={binId} className="button quiet small">
					{photos.length === 1 ? 'Leave it out' : `Leave all ${photos.length} out`}
				</ActionButton>
			</div>
		</div>
	);
}
