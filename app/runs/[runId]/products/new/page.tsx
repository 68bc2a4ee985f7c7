import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { createProduct } from '@/app/_actions/productActions';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { ProductFields } from '@/app/_parts/ProductFields';
import { Trail } from '@/app/_parts/Trail';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Add a product' };

/** One more bin. */
export default async function NewProduct({ params }: PageProps<'/runs/[runId]/products/new'>) {
	const { store } = await theStore();
	const run = await findOr404((await params).runId, (id) => getRun(store, id));
	return (
		<>
			<Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
			<h1>Add a product</h1>
			<EntryForm
				action={createProduct}
				submit="Add it"
				beside={<Link href={`/runs/${run.id}`}>Leave without saving</Link>}
			>
				<input type="hidden" name="id" value={randomUUID()} />
				<input type="hidden" name="runId" value={run.id} />
				<ProductFields />
			</EntryForm>
		</>
	);
}
