import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { createLot } from '@/app/_actions/lotActions';
import { CautionNote } from '@/app/_parts/CautionNote';
import { EntryForm } from '@/app/_parts/EntryForm';
import { LotFields } from '@/app/_parts/LotFields';
import { Trail } from '@/app/_parts/Trail';

export const metadata: Metadata = { title: 'Add a lot' };

/** A new lot. */
export default function NewLot() {
	return (
		<>
			<Trail steps={[{ href: '/lots', label: 'Lots' }]} />
			<h1>Add a lot</h1>
			<CautionNote work="cable" />
			<EntryForm action={createLot} submit="Save lot" beside={<Link href="/lots">Leave without saving</Link>}>
				<input type="hidden" name="id" value={randomUUID()} />
				<LotFields />
			</EntryForm>
		</>
	);
}
