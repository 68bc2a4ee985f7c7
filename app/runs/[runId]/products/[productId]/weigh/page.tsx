import type { Metadata } from 'next';
import Link from 'next/link';
import { saveWeighing } from '@/app/_actions/productActions';
import { typedAsBefore, typedWeighing } from '@/app/_forms/weighingForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { SeenField } from '@/app/_parts/SeenField';
import { Trail } from '@/app/_parts/Trail';
import { WeighingFields } from '@/app/_parts/WeighingFields';
import { weightSentence } from '@/lib/report/weightSentence';
import { listChecks } from '@/lib/store/checks';
import { getProduct, listProducts } from '@/lib/store/products';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { weighedPlaceOf } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Weigh' };

/** Put a bin's weight on record. Unit, scale and kind of moisture start as they were for the bin weighed before. */
export default async function Weigh({ params }: PageProps<'/runs/[runId]/products/[productId]/weigh'>) {
	const { store } = await theStore();
	const product = await findOr404((await params).productId, (id) => getProduct(store, id));
	const run = await findOr404(product.runId, (id) => getRun(store, id));
	const back = `/runs/${product.runId}/products/${product.id}`;
	const others = await listProducts(store, product.runId);
	const checks = await listChecks(store, [product.id]);
	const before = others.findLast(({ weighing }) => weighing !== undefined)?.weighing;
	const initial = product.weighing === undefined ? typedAsBefore(before, false) : typedWeighing(product.weighing);
	return (
		<>
			<Trail steps={[{ href: back, label: product.name }]} />
			<h1>Weigh {product.name}</h1>
			<p className="hint">
				{product.weighing === undefined ? null : 'On record now. '}
				{weightSentence(product.weighing, weighedPlaceOf(run, others, product.id), checks)} A comma and a point both
				count as the decimal sign. Empty the gross weight and the tare to take the weight away.
			</p>
			<EntryForm action={saveWeighing} submit="Save weight" beside={<Link href={back}>Leave without saving</Link>}>
				<input type="hidden" name="id" value={product.id} />
				<SeenField entry={typedWeighing(product.weighing)} />
				<WeighingFields initial={initial} />
			</EntryForm>
			<div className="caution">
				<p>
					A bucket, hanging or kitchen scale is for the balance only. Where weight sets a price, the law asks for a
					scale approved for trade. A 20 L bucket of drained copper can weigh 60 kg: use small buckets.
				</p>
			</div>
		</>
	);
}
