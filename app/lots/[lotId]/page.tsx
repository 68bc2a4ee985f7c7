import type { Metadata } from 'next';
import Link from 'next/link';
import { Suspense } from 'react';
import { deleteLot } from '@/app/_actions/lotActions';
import { unitOf } from '@/app/_forms/unitOf';
import { ActionButton } from '@/app/_parts/ActionButton';
import { DemoNotice } from '@/app/_parts/DemoNotice';
import { findOr404 } from '@/app/_parts/findOr404';
import { LotTrends } from '@/app/_parts/LotTrends';
import { listedAs, Pages } from '@/app/_parts/Pages';
import { RunLines } from '@/app/_parts/RunLines';
import { Trail } from '@/app/_parts/Trail';
import { printExactMass } from '@/lib/report/format';
import { getLot } from '@/lib/store/lots';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export async function generateMetadata({ params }: PageProps<'/lots/[lotId]'>): Promise<Metadata> {
	const { store } = await theStore();
	const lot = await findOr404((await params).lotId, (id) => getLot(store, id));
	return { title: lot.name };
}

/** One lot and its runs. */
export default async function LotPage({ params, searchParams }: PageProps<'/lots/[lotId]'>) {
	const { store } = await theStore();
	const lot = await findOr404((await params).lotId, (id) => getLot(store, id));
	const { lines: runs, ...pages } = await listedAs(await searchParams, (part) =>
		listRuns(store, { lotId: lot.id, ...part }),
	);
	return (
		<>
			<Trail steps={[{ href: '/lots', label: 'Lots' }]} />
			<h1>{lot.name}</h1>
			{lot.demo ? <DemoNotice /> : null}
			<dl className="figures">
				<dt>Where it is from</dt>
				<dd>{lot.source || 'not noted'}</dd>
				<dt>Received mass</dt>
				<dd>
					{lot.receivedMassKg === null ? 'not noted' : printExactMass(lot.receivedMassKg, unitOf(lot.receivedUnit))}
				</dd>
				<dt>Treated before</dt>
				<dd>{lot.treatment || 'not noted'}</dd>
				{lot.notes === '' ? null : (
					<>
						<dt>Notes</dt>
						<dd>{lot.notes}</dd>
					</>
				)}
			</dl>
			<div className="actions">
				<Link className="button main" href={`/runs/new?lot=${lot.id}`}>
					Start a run from this lot
				</Link>
				<Link className="button quiet" href={`/compare/settings?lot=${lot.id}`}>
					Plan the next runs
				</Link>
				<Link className="button quiet" href={`/lots/${lot.id}/edit`}>
					Change the lot
				</Link>
			</div>
			<section>
				<h2>Runs</h2>
				{runs.length === 0 ? <p>No runs from this lot yet.</p> : <RunLines runs={runs} ofOneLot />}
				<Pages {...pages} at={`/lots/${lot.id}?`} what="runs" />
			</section>
			<Suspense fallback={<p role="status">Working out the runs over time …</p>}>
				<LotTrends lotId={lot.id} runs={runs} areAll={pages.page === 1 && !pages.hasOlder} />
			</Suspense>
			{lot.demo ? null : (
				<ActionButton action={deleteLot} id={lot.id}>
					Remove this lot
				</ActionButton>
			)}
		</>
	);
}
