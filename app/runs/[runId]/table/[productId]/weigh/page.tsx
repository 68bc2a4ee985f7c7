import type { Metadata } from 'next';
import Link from 'next/link';
import { saveWeighing } from '@/app/_actions/productActions';
import { nextBin, tableAddress } from '@/app/_forms/tableSteps';
import { typedAsBefore, typedWeighing } from '@/app/_forms/weighingForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { SeenField } from '@/app/_parts/SeenField';
import { TableTrail } from '@/app/_parts/TableTrail';
import { WeighingFields } from '@/app/_parts/WeighingFields';
import { getProduct } from '@/lib/store/products';
import { theStore } from '@/lib/store/theStore';
import { getBoard } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Weigh' };

/** Weigh one bin; tare, unit, scale and kind of moisture stand as they were for the bin weighed before. */
export default async function TableWeigh({ params }: PageProps<'/runs/[runId]/table/[productId]/weigh'>) {
	const { store } = await theStore();
	const { runId, productId } = await params;
	const bin = await findOr404(productId, (id) => getProduct(store, id));
	const { run, products } = await findOr404(runId, (id) => getBoard(store, id));
	const before = products.findLast(({ weighing }) => weighing !== undefined)?.weighing;
	const next = nextBin(products, bin.id);
	return (
		<div className="at-table">
			<TableTrail id={run.id} name={run.name} />
			<h1>Weigh {bin.name}</h1>
			<EntryForm
				action={saveWeighing}
				submit={next === undefined ? 'Save weight' : `Save, then ${next.name}`}
				beside={
					<Link className="button quiet" href={tableAddress(run.id, next)}>
						Not weighed
					</Link>
				}
			>
				<input type="hidden" name="id" value={bin.id} />
				<input type="hidden" name="then" value="table" />
				<SeenField entry={typedWeighing(bin.weighing)} />
				<WeighingFields
					initial={bin.weighing === undefined ? typedAsBefore(before, true) : typedWeighing(bin.weighing)}
				/>
			</EntryForm>
		</div>
	);
}
