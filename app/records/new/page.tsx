import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { createRecord } from '@/app/_actions/recordActions';
import { CONTRACT_FIELDS, typedRecord } from '@/app/_forms/recordForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { NumberField, SelectField, TextField } from '@/app/_parts/Fields';
import { findOr404 } from '@/app/_parts/findOr404';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { PUBLISHED_CLASSES } from '@/lib/conformity/publishedClasses';
import { printPlain } from '@/lib/report/format';
import { getProduct } from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { lastRecordEntry } from '@/lib/store/recordEntry';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Make the record' };

/** Risks of guarded rules, per cent, the usual one first. */
const RISKS = [5, 2.5, 1, 10, 20] as const;

/** Make the cleanliness record of one product. */
export default async function NewRecord({ searchParams }: PageProps<'/records/new'>) {
	const { product: given } = await searchParams;
	const { store, pool } = await theStore();
	const product = await findOr404(String(given), (id) => getProduct(store, id));
	const progress = await progressOf(store, product.runId, pool.size);
	const last = await lastRecordEntry(store);
	const typed: Record<string, string> = last === undefined ? {} : typedRecord(last);
	const rules = [
		...RISKS.map((risk) => ({ value: String(risk), label: `Guarded, ${printPlain(risk)} wrong in 100` })),
		{ value: 'simple', label: 'Simple: the best value decides' },
	];
	return (
		<>
			<Trail steps={[{ href: `/runs/${product.runId}/products/${product.id}`, label: product.name }]} />
			<h1>Make the record of {product.name}</h1>
			<ReadingProgress run={product.runId} initial={progress} />
			<p className="narrow">
				The record holds the product as it stands now, with pictures, and is sealed. It takes some seconds. An earlier
				record of this product then says that it has been superseded.
			</p>
			<EntryForm
				action={createRecord}
				submit="Make the record"
				beside={<Link href={`/runs/${product.runId}/products/${product.id}`}>Leave without making it</Link>}
			>
				<input type="hidden" name="id" value={randomUUID()} />
				<input type="hidden" name="productId" value={product.id} />
				<TextField name="issuer" label="Who issues it" initial={typed.issuer ?? ''} />
				<TextField name="responsible" label="Person responsible (optional)" initial={typed.responsible ?? ''} />
				<TextField
					name="sampling"
					label="How the sample was taken"
					hint="For example: small scoops from several depths of the mixed bin, four scoops to a spread."
					initial={typed.sampling ?? ''}
				/>
				<NumberField name="scoops" label="Number of scoops (optional)" />
				<SelectField
					name="classId"
					label="Published class to set it against"
					hint="A trade code is never said to be met: measured shares stand beside its limits."
					initial={typed.classId ?? 'none'}
					options={[
						{ value: 'none', label: 'None' },
						...PUBLISHED_CLASSES.map(({ id, name, item }) => ({ value: id, label: `${name}: ${item}` })),
					]}
				/>
				<SelectField
					name="rule"
					label="Decision rule"
					hint="A guarded rule calls a limit met only where that is wrong no more often than this."
					initial={typed.rule ?? '5'}
					options={rules}
				/>
				<fieldset>
					<legend>Limits of a contract (optional)</legend>
					<div className="pair">
						<TextField name="contractName" label="What the contract is called" initial={typed.contractName ?? ''} />
						<TextField name="contractYear" label="Year" initial={typed.contractYear ?? ''} />
					</div>
					{CONTRACT_FIELDS.map(({ field, label }) => (
						<NumberField key={field} name={field} label={label} unit="%" initial={typed[field] ?? ''} />
					))}
				</fieldset>
			</EntryForm>
		</>
	);
}
