import { randomUUID } from 'node:crypto';
import type { Metadata } from 'next';
import Link from 'next/link';
import { keepPrices } from '@/app/_actions/priceActions';
import { typedPrices } from '@/app/_forms/priceForm';
import { EntryForm } from '@/app/_parts/EntryForm';
import { findOr404 } from '@/app/_parts/findOr404';
import { PriceFields } from '@/app/_parts/PriceFields';
import { SeenField } from '@/app/_parts/SeenField';
import { Trail } from '@/app/_parts/Trail';
import { latestPrices } from '@/lib/store/prices';
import { getRun } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Enter prices' };

/** Prices and charges; they hold for all runs until new ones are entered. */
export default async function PricesPage({ params }: PageProps<'/runs/[runId]/money/prices'>) {
	const { store } = await theStore();
	const run = await findOr404((await params).runId, (id) => getRun(store, id));
	const shown = typedPrices((await latestPrices(store))?.sheet);
	return (
		<>
			<Trail
				steps={[
					{ href: `/runs/${run.id}`, label: run.name },
					{ href: `/runs/${run.id}/money`, label: 'What it is worth' },
				]}
			/>
			<h1>Enter prices</h1>
			<p className="narrow">
				Prices are never fetched: type what your buyer pays, and note the day and where it is from. They hold for all
				runs until you enter new ones.
			</p>
			<EntryForm
				action={keepPrices}
				submit="Save prices"
				beside={<Link href={`/runs/${run.id}/money`}>Leave without saving</Link>}
			>
				<input type="hidden" name="id" value={randomUUID()} />
				<input type="hidden" name="runId" value={run.id} />
				<SeenField entry={shown} />
				<PriceFields initial={shown} />
			</EntryForm>
		</>
	);
}
