import { randomUUID } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { classMapPng } from '@/lib/report/classMapFile';
import { classMapName } from '@/lib/store/analyses';
import { openStore, type Store } from '@/lib/store/database';
import { analysePhoto } from '@/lib/store/engine';
import { ENGINE_VERSION } from '@/lib/store/engineVersion';
import { readingChoiceSchema } from '@/lib/store/entries';
import { writeResult } from '@/lib/store/keptResult';
import { addLot } from '@/lib/store/lots';
import { keepPhoto } from '@/lib/store/photoFiles';
import { POOL_HERE } from '@/lib/store/poolHere';
import { savePrices } from '@/lib/store/prices';
import { listProducts } from '@/lib/store/products';
import { issueRecord } from '@/lib/store/records';
import { statedRuns } from '@/lib/store/runOrigin';
import { addRun, listRuns } from '@/lib/store/runs';
import { setSetting } from '@/lib/store/settings';
import { takeInPhoto } from '@/lib/store/takeInPhoto';
import { getBoard, workOutBoard } from '@/lib/store/workedRun';
import { photoOf } from './benchPhoto';

const [LOTS, RUNS, SPREADS] = [100, 2000, 30_000];

/** Of the runs, so many are of one lot; so many checks teach the material; so many records are on file. */
const [LONG_LOT, CHECKS, RECORDS] = [1000, 400, 300];

/**
 * Years of runs, whose photos share one reading and whose figures are on record, and the demonstration's photos waiting to be read.
 *
 * @returns ids of what pages are asked for
 */
export async function fillYard(directory: string) {
	const store = await openStore(directory);
	await setSetting(store, 'demoOffered', 'yes');
	const choice = readingChoiceSchema.parse({ method: 'threshold' });
	const material = BUILT_IN_MATERIALS[0];
	const bytes = await photoOf(3);
	const { analysis, classMap } = await analysePhoto(bytes, { choice, material, matScale: 1 });
	const { sha256, sizeBytes } = await keepPhoto(store.files, [bytes]);
	const key = 'bench';
	await store.files.write(
		classMapName(key),
		await classMapPng(classMap, { width: analysis.widthPx, height: analysis.heightPx }),
	);
	const now = new Date().toISOString();
	await store.db
		.insertInto('analysis')
		.values({ key, result: JSON.stringify(analysis), engine_version: ENGINE_VERSION, took_ms: 1000, created_at: now })
		.execute();
	const lots = Array.from({ length: LOTS }, () => randomUUID());
	for (const [i, id] of lots.entries())
		await addLot(store, id, {
			name: `Lot ${i}`,
			source: 'invented',
			receivedMassKg: 400,
			receivedUnit: 'kg',
			treatment: 'granulated only',
			notes: '',
		});
	const runs = Array.from({ length: RUNS }, (_, i) => ({
		id: randomUUID(),
		lotId: lots[i < LONG_LOT ? 0 : i % LOTS]!,
	}));
	for (const [i, { id, lotId }] of runs.entries())
		await addRun(
			store,
			id,
			lotId,
			{
				name: `Run ${i}`,
				runDate: `20${20 + Math.floor(i / 336)}-${String(1 + (Math.floor(i / 28) % 12)).padStart(2, '0')}-${String(1 + (i % 28)).padStart(2, '0')}`,
				settings: { strokesPerMin: i % 2 ? 280 : 320, deckSlopeCrossDeg: 4 + (i % 3) },
				feed: { weighing: { gross: '52 kg' } },
				notes: '',
				material: material.name,
			},
			[],
		);
	const products = runs.flatMap(({ id }) =>
		(['concentrate', 'middlings', 'tailings'] as const).map((role, position) => ({
			id: randomUUID(),
			run_id: id,
			name: `Bin ${position + 1}`,
			role,
			position,
			weighing: JSON.stringify({ gross: `${5 + 10 * position} kg` }),
			deleted_at: null,
		})),
	);
	await inParts(products, (some) => store.db.insertInto('product').values(some).execute());
	const spreads = Array.from({ length: SPREADS }, (_, i) => ({
		id: randomUUID(),
		product_id: products[i % products.length]!.id,
		position: Math.floor(i / products.length),
		weighed_mass_kg: null,
		weighed_unit: 'g',
	}));
	await inParts(spreads, (some) => store.db.insertInto('spread').values(some).execute());
	const photos = spreads.map(({ id }) => ({
		id: randomUUID(),
		spread_id: id,
		sha256,
		original_name: 'photo.jpg',
		size_bytes: sizeBytes,
		choice: JSON.stringify(choice),
		state: 'graded',
		refused_message: null,
		refused_hint: null,
		analysis_key: key,
		held: null,
		created_at: now,
		deleted_at: null,
	}));
	await inParts(photos, (some) => store.db.insertInto('photo').values(some).execute());
	const checks = Array.from({ length: CHECKS }, (_, i) => ({
		id: randomUUID(),
		product_id: products[3 * 4 * i + 2]!.id,
		spread_id: i % 4 === 0 ? spreads[3 * 4 * i + 2]!.id : null,
		entry: JSON.stringify(
			i % 4 === 0
				? { kind: 'handSort', spread: 1, piles: { insulation: '3.1 g', brightCopper: `0.${10 + (i % 80)} g` } }
				: { kind: 'strip', picks: 40, before: '2.10 g', copper: `0.${10 + (i % 80)} g` },
		),
		created_at: now,
		deleted_at: null,
		taught: 1,
	}));
	await inParts(checks, (some) => store.db.insertInto('product_check').values(some).execute());
	await savePrices(store, randomUUID(), JSON.parse(await readFile('demo-images/prices.json', 'utf8')));
	const ids = {
		run: runs[1]!.id,
		product: products[3]!.id,
		lot: lots[LOTS - 1]!,
		longLot: lots[0]!,
		runs: runs.slice(1, 7).map(({ id }) => id),
	};
	const record = randomUUID();
	await issueRecord(store, POOL_HERE, record, ids.product, {
		issuer: { name: 'Invented yard' },
		sampling: { words: 'Small scoops', scoops: 5 },
		rule: { kind: 'guarded', risk: 0.05 },
		classId: 'cobra',
		contract: { name: 'Contract 12', year: '2026', copperAtLeast: 0.5 },
	});
	const row = await store.db.selectFrom('record').selectAll().where('id', '=', record).executeTakeFirstOrThrow();
	const { yard: _, ...columns } = row as typeof row & { yard?: string };
	await inParts(
		Array.from({ length: RECORDS }, (_, i) => ({
			...columns,
			id: randomUUID(),
			number: `${row.number}-${i}`,
			product_id: products[3 * i + 6]!.id,
		})),
		(some) => store.db.insertInto('record').values(some).execute(),
	);
	await keepFigures(store);
	const [first] = await listProducts(store, runs[0]!.id);
	for (const name of (await readdir('demo-images')).filter((file) => file.endsWith('.jpg')))
		await takeInPhoto(store, { id: randomUUID(), spreadId: randomUUID(), productId: first!.id, originalName: name }, [
			await readFile(path.join('demo-images', name)),
		]);
	await store.close();
	return { ...ids, record };
}

/** Every run's figures on record, as after years of looking: those of one. */
async function keepFigures(store: Store): Promise<void> {
	const all = await listRuns(store, { limit: RUNS });
	const kept: { key: string; result: string; created_at: string }[] = [];
	let result: string | undefined;
	for (const {
		run,
		origin: { key },
	} of await statedRuns(store, all)) {
		result ??= writeResult(await workOutBoard(store, POOL_HERE, await getBoard(store, run.id)));
		kept.push({ key, result, created_at: new Date().toISOString() });
	}
	await inParts(kept, (some) =>
		store.db
			.insertInto('account')
			.values(some)
			.onConflict((c) => c.column('key').doNothing())
			.execute(),
	);
}

async function inParts<Row>(rows: readonly Row[], insert: (some: readonly Row[]) => Promise<unknown>): Promise<void> {
	for (let at = 0; at < rows.length; at += 1000) await insert(rows.slice(at, at + 1000));
}
