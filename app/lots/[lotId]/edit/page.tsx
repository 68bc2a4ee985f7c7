import type { Metadata } from 'next';
import Link from 'next/link';
import { saveLot } from '@/app/_actions/lotActions';
import { typedLot } from '@/app/_forms/lotForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { LotFields } from '@/app/_parts/LotFields';
import { SeenField } from '@/app/_parts/SeenField';
import { Trail } from '@/app/_parts/Trail';
import { getLot } from '@/lib/store/lots';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Change a lot' };

/** Change what is said about a lot. */
export default async function ChangeLot({ params }: PageProps<'/lots/[lotId]/edit'>) {
	const { store } = await theStore();
	const lot = await findOr404((await params).lotId, (id) => getLot(store, id));
	const entry = typedLot(lot);
	return (
		<>
			<Trail steps={[{ href: `/lots/${lot.id}`, label: lot.name }]} />
			<h1>Change the lot</h1>
			<EntryForm action={saveLot} submit="Save lot" beside={<Link href={`/lots/${lot.id}`}>Leave without saving</Link>}>
				<input type="hidden" name="id" value={lot.id} />
				<SeenField entry={entry} />
				<LotFields initial={entry} />
			</EntryForm>
		</>
	);
}
