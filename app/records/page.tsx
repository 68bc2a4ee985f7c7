import type { Metadata } from 'next';
import Link from 'next/link';
import { listedAs, Pages } from '@/app/_parts/Pages';
import { printDay } from '@/lib/report/format';
import { listRecords } from '@/lib/store/records';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Records' };

/** All cleanliness records, newest first. */
export default async function Records({ searchParams }: PageProps<'/records'>) {
	const { store } = await theStore();
	const { lines: records, ...pages } = await listedAs(await searchParams, (part) =>
		listRecords(store, undefined, part),
	);
	return (
		<>
			<h1>Cleanliness records</h1>
			<p className="narrow">
				A record is one product as it stood on one day, sealed, for its buyer. It is an estimate from photographs, never
				a certificate.
			</p>
			{records.length === 0 ? (
				<p>
					No record yet. Open a product of <Link href="/runs">a run</Link> and choose &ldquo;Make the record&rdquo;.
				</p>
			) : (
				<ul className="lines">
					{records.map(({ id, record, state }) => (
						<li key={id}>
							<Link className="line-link" href={`/records/${id}`}>
								<strong>{record.number}</strong>
								<span>
									{record.product.name}, {record.run.name}, lot {record.lot.name}
								</span>
								<span className="soft">
									{printDay(record.issuedAt)}
									{state.withdrawn === undefined ? '' : ', withdrawn'}
									{state.supersededBy === undefined ? '' : `, superseded by ${state.supersededBy}`}
									{record.demo ? ', demonstration' : ''}
								</span>
							</Link>
						</li>
					))}
				</ul>
			)}
			<Pages {...pages} at="/records?" what="records" />
			<div className="actions">
				<Link className="button quiet" href="/verify">
					Check a record
				</Link>
				<Link className="button quiet" href="/records/key">
					Signing key
				</Link>
			</div>
		</>
	);
}
