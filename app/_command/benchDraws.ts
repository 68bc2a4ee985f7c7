import { readFile } from 'node:fs/promises';
import { type GradedProduct, workOutRun } from '@/lib/balance/gradedRun';
import { weighingSchema } from '@/lib/balance/weighing';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { readPhoto } from '@/lib/grade/readPhoto';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { decodePhoto } from '@/lib/photo/decode';
import { median, rounded, timed } from './benchPhoto';

const [MATERIAL] = BUILT_IN_MATERIALS;
const DRAWS = 10_000;
const PRODUCTS = ['conc1', 'conc2', 'middlings', 'tailings'] as const;
const SPREADS = [1, 2, 3] as const;
const TIMES = 7;

/**
 * Ten thousand worlds of the demonstration's run, four products of three spreads, from readings (by thresholds) to grades and balance,
 * weighed as in its run file to the tenth of a kilogram; set against sorting a million numbers, which goes by the same thread and no cache of files.
 */
export async function benchDraws(): Promise<object> {
	const photo = (product: string, spread: number) => readFile(`demo-images/dev-run-${product}-tray${spread}.jpg`);
	const read = async (product: string, spread: number) => {
		const { raster } = await decodePhoto(await photo(product, spread));
		return (await readPhoto(raster, { surface: 'auto', method: 'threshold' }, MATERIAL)).reading;
	};
	const weighing = (gross: number) => weighingSchema.parse({ gross, resolution: 0.1 });
	const products: GradedProduct[] = [];
	for (const id of PRODUCTS) {
		const spreads = [];
		for (const spread of SPREADS) spreads.push([await read(id, spread)]);
		products.push({ id, name: id, role: ROLES[id], weighing: weighing(MASS_KG[id]), spreads });
	}
	const feed = { weighing: weighing(PRODUCTS.reduce((sum, id) => sum + MASS_KG[id], 0)) };
	const numbers = Float64Array.from({ length: 1_000_000 }, (_, i) => (i * 0.618034) % 1);
	const times = [];
	for (let seed = 1; seed <= TIMES + 2; seed++) {
		const run = async () =>
			workOutRun({ runId: 'bench', feed, products }, MATERIAL, measuredErrorRates, { draws: DRAWS, seed });
		times.push({ whole: await timed(run), sort: await timed(async () => numbers.slice().sort()) });
	}
	// the first two are compiled as they go
	const kept = times.slice(2);
	return {
		what: 'draws',
		draws: DRAWS,
		products: PRODUCTS.length,
		spreads: SPREADS.length,
		clockMs: Math.round(median(kept.map(({ whole }) => whole.clockMs))),
		processorMs: Math.round(median(kept.map(({ whole }) => whole.processorMs))),
		processorRatio: rounded(median(kept.map(({ whole, sort }) => whole.processorMs / sort.processorMs))),
	};
}

const ROLES = { conc1: 'concentrate', conc2: 'concentrate', middlings: 'middlings', tailings: 'tailings' } as const;
const MASS_KG: Readonly<Record<(typeof PRODUCTS)[number], number>> = {
	conc1: 4.1,
	conc2: 1.4,
	middlings: 1.7,
	tailings: 3.8,
};
