import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { revokeLink, withdraw } from '@/app/_actions/recordActions';
import { ActionButton } from '@/app/_parts/ActionButton';
import { EntryForm } from '@/app/_parts/EntryForm';
import { TextField } from '@/app/_parts/Fields';
import { findOr404 } from '@/app/_parts/findOr404';
import { RecordFiles } from '@/app/_parts/RecordFiles';
import { RecordSheetView } from '@/app/_parts/RecordSheetView';
import { ShareRecord } from '@/app/_parts/ShareRecord';
import { Trail } from '@/app/_parts/Trail';
import { printDayOf } from '@/lib/report/printMoment';
import { LINK_DAYS, listRecordLinks, type RecordLink } from '@/lib/store/recordLinks';
import { sheetOfRecord } from '@/lib/store/recordOutput';
import { getRecord, getRecordNumber } from '@/lib/store/records';
import { theStore } from '@/lib/store/theStore';

export async function generateMetadata({ params }: PageProps<'/records/[recordId]'>): Promise<Metadata> {
	const { store } = await theStore();
	const number = await findOr404((await params).recordId, (id) => getRecordNumber(store, id));
	return { title: `Record ${number}` };
}

/** One cleanliness record: what it says, its files, who it was shared with, and withdrawing it. */
export default async function RecordPage({ params }: PageProps<'/records/[recordId]'>) {
	const { store } = await theStore();
	const kept = await findOr404((await params).recordId, (id) => getRecord(store, id));
	const links = await listRecordLinks(store, kept.id);
	const address = `/records/${kept.id}`;
	return (
		<>
			<Trail steps={[{ href: '/records', label: 'Records' }]} />
			<RecordSheetView sheet={sheetOfRecord(kept)} address={address} />
			{kept.supersededById === undefined ? null : (
				<p className="screen-only">
					<Link href={`/records/${kept.supersededById}`}>Open the record that superseded it</Link>
				</p>
			)}
			<RecordFiles address={address} />
			<div className="screen-only">
				<section className="narrow">
					<h2>Share it</h2>
					<p>
						A link shows this record and nothing else, without sign-in, until it runs out or is revoked. The photos on
						it carry neither place nor device.
					</p>
					<ShareRecord
						id={randomUUID()}
						recordId={kept.id}
						days={LINK_DAYS}
						revoked={links.filter(({ revokedAt }) => revokedAt !== undefined).map((link) => link.id)}
					/>
					<Links links={links} />
				</section>
				{kept.state.withdrawn === undefined ? (
					<section>
						<h2>Withdraw it</h2>
						<p>It stays reachable and says that it was withdrawn, and why.</p>
						<EntryForm action={withdraw} submit="Withdraw this record" isAside>
							<input type="hidden" name="id" value={kept.id} />
							<TextField name="reason" label="Why it is withdrawn" />
						</EntryForm>
					</section>
				) : null}
				<div className="actions">
					<Link className="button quiet" href={`/records/new?product=${kept.productId}`}>
						Make a new record of this product
					</Link>
					<Link className="button quiet" href="/verify">
						Check a record
					</Link>
				</div>
			</div>
		</>
	);
}

function Links({ links }: { readonly links: readonly RecordLink[] }) {
	if (links.length === 0) return <p className="hint">Not shared yet.</p>;
	const now = new Date().toISOString();
	return (
		<ul className="lines">
			{links.map(({ id, createdAt, expiresAt, revokedAt }) => (
				<li key={id}>
					<p>
						Link of {printDayOf(createdAt)},{' '}
						{revokedAt !== undefined
							? `revoked on ${printDayOf(revokedAt)}`
							: expiresAt <= now
								? `ran out on ${printDayOf(expiresAt)}`
								: `good until ${printDayOf(expiresAt)}`}
						.
					</p>
					{revokedAt === undefined && expiresAt > now ? (
						<ActionButton action={revokeLink} id={id} className="button small quiet">
							Revoke this link
						</ActionButton>
					) : null}
				</li>
			))}
		</ul>
	);
}
