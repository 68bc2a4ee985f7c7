import type { Metadata } from 'next';
import Link from 'next/link';
import { unitOf } from '@/app/_forms/unitOf';
import { UndoBar } from '@/app/_parts/UndoBar';
import { printExactMass } from '@/lib/report/format';
import { listLots } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Lots' };

/** All lots. */
export default async function Lots({ searchParams }: PageProps<'/lots'>) {
	const { store } = await theStore();
	const lots = await listLots(store);
	return (
		<>
			<UndoBar query={await searchParams} />
			<h1>Lots</h1>
			<p className="narrow">A lot is the material as it was received, from one source. Runs are made from lots.</p>
			<div className="actions">
				<Link className="button main" href="/lots/new">
					Add a lot
				</Link>
			</div>
			{lots.length === 0 ? (
				<p>No lots yet. Add the one you are about to run.</p>
			) : (
				<ul className="lines">
					{lots.map((lot) => (
						<li key={lot.id}>
							<Link className="line-link" href={`/lots/${lot.id}`}>
								<span>{lot.name}</span>
								<span className="soft">
									{lot.receivedMassKg === null
										? ''
										: `${printExactMass(lot.receivedMassKg, unitOf(lot.receivedUnit))}, `}
									{lot.runs === 1 ? '1 run' : `${lot.runs} runs`}
								</span>
								{lot.demo ? <span className="demo-mark">demonstration</span> : null}
							</Link>
						</li>
					))}
				</ul>
			)}
		</>
	);
}
