import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { RecordFiles } from '@/app/_parts/RecordFiles';
import { RecordSheetView } from '@/app/_parts/RecordSheetView';
import { TrayError } from '@/lib/errors/TrayError';
import { sharedRecord } from '@/lib/store/recordLinks';
import { sheetOfRecord } from '@/lib/store/recordOutput';
import { behindLink } from '@/lib/store/theStore';

/** The address is a secret: it is told to no other page and no search engine. */
export const metadata: Metadata = {
	title: 'Cleanliness record',
	robots: { index: false, follow: false },
	referrer: 'no-referrer',
};

async function recordBehind(token: string) {
	return sharedRecord((await behindLink(token)).store, token);
}

/**
 * One record, to whoever holds the link, and nothing else. Everything that such a link shows lies under /shared/, which is open
 * without the access code; nothing else may be put there.
 */
export default async function SharedRecordPage({ params }: PageProps<'/shared/[token]'>) {
	const { token } = await params;
	const kept = await recordBehind(token).catch((error: unknown) => {
		if (error instanceof TrayError && error.code === 'not-found') return notFound();
		throw error;
	});
	const address = `/shared/${token}`;
	return (
		<>
			<RecordSheetView sheet={sheetOfRecord(kept)} address={address} />
			<RecordFiles address={address} />
		</>
	);
}
