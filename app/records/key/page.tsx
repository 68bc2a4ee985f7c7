import type { Metadata } from 'next';
import { headers } from 'next/headers';
import { newSigningKey, takeInSigningKey } from '@/app/_actions/recordActions';
import { seatOf } from '@/app/_http/seat';
import { ActionButton } from '@/app/_parts/ActionButton';
import { EntryForm } from '@/app/_parts/EntryForm';
import { FileField } from '@/app/_parts/FileField';
import { PassphraseField } from '@/app/_parts/PassphraseField';
import { Trail } from '@/app/_parts/Trail';
import { printFingerprint } from '@/lib/report/verifySentences';
import { ownYard } from '@/lib/store/ownYard';
import { SHORTEST_PASSPHRASE, signingKey } from '@/lib/store/signingKey';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Signing key' };

/** The key that records are sealed with: its fingerprint, its backup, a new one. */
export default async function KeyPage() {
	const { store } = await theStore();
	const isOwn = seatOf(await headers()).kind === 'own';
	const key = await signingKey(store).catch(() => undefined);
	return (
		<>
			<Trail steps={[{ href: '/records', label: 'Records' }]} />
			<h1>Signing key</h1>
			{key === undefined ? (
				<div className="caution">
					<p>The signing key cannot be read. Take it in from its backup, or make a new one.</p>
				</div>
			) : (
				<>
					<p className="narrow">
						Records are sealed with this key. Give its fingerprint to buyers by another way than the record itself, so
						that they can compare:
					</p>
					<p className="fingerprint">{printFingerprint(key.fingerprint)}</p>
				</>
			)}
			{isOwn ? (
				<>
					<section className="narrow">
						<h2>Back it up</h2>
						<p>
							The backup is locked with a passphrase. Keep both apart: whoever has both can seal records in your name.
						</p>
						<form action="/records/key/backup" method="post" className="entry-form">
							<PassphraseField id="backup-passphrase" label="A passphrase for it" least={SHORTEST_PASSPHRASE} />
							<button type="submit" className="button">
								Save a backup
							</button>
						</form>
					</section>
					<section>
						<h2>Take it in from a backup</h2>
						<EntryForm action={takeInSigningKey} submit="Take the key in">
							<FileField name="file" label="Backup file" accept=".pem" />
							<PassphraseField id="restore-passphrase" label="The backup’s passphrase" least={SHORTEST_PASSPHRASE} />
						</EntryForm>
					</section>
					<section className="narrow">
						<h2>Make a new one</h2>
						<p>
							When the key may be in other hands. Records sealed before still check out, by the old fingerprint; tell
							buyers the new one.
						</p>
						<ActionButton action={newSigningKey}>Replace the key</ActionButton>
					</section>
				</>
			) : (
				<p>
					Backing it up and replacing it is done{' '}
					{ownYard() === undefined ? 'on the computer that joined with the office code.' : 'on the laptop itself.'}
				</p>
			)}
		</>
	);
}
