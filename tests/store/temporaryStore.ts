import { randomUUID } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { Client } from 'pg';
import { onTestFinished } from 'vitest';
import { openStore, type Store } from '@/lib/store/database';
import { addLot } from '@/lib/store/lots';
import { openPostgres } from '@/lib/store/postgres';
import { listProducts } from '@/lib/store/products';
import { addRun } from '@/lib/store/runs';
import { LOT, RUN } from './madeUp';
import { addressOf, SHARED, TEMPLATE } from './postgresServer';

export { LOT, RUN };

/** A fresh folder that goes away after the test. */
export async function temporaryFolder(): Promise<string> {
	const folder = await mkdtemp(path.join(tmpdir(), 'deckside-test-'));
	onTestFinished(() => rm(folder, { recursive: true, force: true }));
	return folder;
}

/** A real data directory in a fresh folder; with TEST_DATABASE_URL a yard of its own on that PostgreSQL server instead. */
export async function temporaryStore(folder?: string): Promise<Store> {
	const server = process.env.TEST_DATABASE_URL;
	const place = folder ?? (await temporaryFolder());
	const store = server === undefined ? await openStore(place) : await yardOf(server, place);
	onTestFinished(() => store.close());
	return store;
}

/** The yard that stands in for a folder, by the folder's name: opened again it is the same. */
async function yardOf(server: string, folder: string): Promise<Store> {
	const yard = yards.get(folder) ?? randomUUID();
	yards.set(folder, yard);
	const database = await openPostgres(addressOf(server, SHARED));
	return { ...database.storeOf(yard), close: database.close };
}

const yards = new Map<string, string>();

/** A database with nothing in its tables, on a PostgreSQL server. @returns its address */
export async function freshDatabase(server: string): Promise<string> {
	const name = `test_${randomUUID().replaceAll('-', '')}`;
	const client = new Client({ connectionString: server });
	await client.connect();
	await client.query(`create database ${name} template ${TEMPLATE}`);
	await client.end();
	return addressOf(server, name);
}

/** A lot, a run of it with the default products, and their ids. */
export async function storedRun(store: Store) {
	const [lotId, runId] = [randomUUID(), randomUUID()];
	await addLot(store, lotId, LOT);
	await addRun(store, runId, lotId, RUN);
	const products = await listProducts(store, runId);
	return { lotId, runId, products, productId: products[0]!.id };
}

/** Bytes as they come from a connection, in small pieces. */
export async function* inPieces(bytes: Uint8Array, piece = 1000): AsyncGenerator<Uint8Array> {
	for (let at = 0; at < bytes.length; at += piece) yield bytes.subarray(at, at + piece);
}
