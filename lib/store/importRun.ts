import 'server-only';
import { randomUUID } from 'node:crypto';
import { ZodError } from 'zod';
import { netMassOf } from '../balance/dryMass';
import { issueWords, placedWords } from '../errors/issueWords';
import { TrayError } from '../errors/TrayError';
import { readMass } from '../quantity/units';
import { photoRequestSchema } from '../report/photoFile';
import { type RunFileInput, runFileSchema } from '../report/runFile';
import { addCheck } from './checks';
import type { Store } from './database';
import { type ReadingChoice, readingChoiceSchema } from './entries';
import { LOST_BYTES } from './lostPhotos';
import { addLot, type Lot, listLots } from './lots';
import { DEFAULT_MATERIAL_NAME, listMaterials } from './materials';
import { photoName } from './photoFiles';
import { addPhoto, setAside } from './photos';
import { listProducts, weighProduct } from './products';
import { addRun, type RunEntry, removeRun } from './runs';
import { weighSpread } from './spreads';

/** A run that was taken in from a file. */
export interface ImportedRun {
	readonly runId: string;
	/** Photos whose originals do not lie in this data folder; sent again, they go to their places by their checksums. */
	readonly missingPhotos: readonly string[];
	/** Photos that the file gives no checksum of: they can't be known again, and sorts of their spreads are left out. */
	readonly unknownPhotos: readonly string[];
}

/**
 * Take in a run as `exportRun` wrote it: lot, settings, weights, spreads, checks, and its photos, each to be read as it was.
 *
 * A photo whose original does not lie in the data folder keeps its place and says so until it is sent again.
 *
 * A lot of the same name, and from the same place where both say so, takes the run; otherwise the file's lot is made. What is marked as a demonstration stays so, in a lot of its own. Everything is worked out again, nothing is believed.
 *
 * @param text - the file's content
 * @throws TrayError `file-unreadable` with what is wrong, `material-unreadable` when the material is not on record
 */
export async function importRun(store: Store, text: string): Promise<ImportedRun> {
	const file = readRun(text);
	await refuseUnknownMaterials(store, file);
	const runId = randomUUID();
	const lotId = await lotFor(store, file);
	try {
		return { runId, ...(await fillRun(store, runId, lotId, file)) };
	} catch (cause) {
		// a run that could not be taken in whole is not left lying about in part
		await removeRun(store, runId);
		throw cause instanceof ZodError ? unreadable(cause) : cause;
	}
}

/** A run's entry as its file has it; dated today where the file has no day. */
export function runEntryOf(file: RunFileInput): RunEntry {
	return {
		name: file.name,
		runDate: file.date ?? new Date().toISOString().slice(0, 10),
		settings: file.settings ?? {},
		feed: {
			...file.feed,
			...(file.loss === undefined ? {} : { loss: file.loss.weighing }),
			...(file.scales === undefined ? {} : { scales: file.scales }),
		},
		notes: file.note ?? '',
		material: file.material ?? DEFAULT_MATERIAL_NAME,
	};
}

async function fillRun(
	store: Store,
	runId: string,
	lotId: string,
	file: RunFileInput,
): Promise<Omit<ImportedRun, 'runId'>> {
	await addRun(store, runId, lotId, runEntryOf(file), file.products, file.demo);
	const products = await listProducts(store, runId);
	const [missingPhotos, unknownPhotos]: [string[], string[]] = [[], []];
	for (const [p, given] of file.products.entries()) {
		const left = await addContent(store, products[p]!.id, given).catch((cause: unknown) => {
			throw cause instanceof ZodError ? unreadable(cause, given.name) : cause;
		});
		missingPhotos.push(...left.missing);
		unknownPhotos.push(...left.unknown);
	}
	return { missingPhotos, unknownPhotos };
}

/** Photos read with a material of their own need it here as well. */
async function refuseUnknownMaterials(store: Store, file: RunFileInput): Promise<void> {
	const known = new Set((await listMaterials(store)).map(({ name }) => name));
	const asked = [file.material, ...file.products.flatMap((product) => photosOf(product).flat().map(materialOf))];
	const unknown = asked.find((name) => name !== undefined && !known.has(name));
	if (unknown === undefined) return;
	throw new TrayError(
		'material-unreadable',
		`The run was read with the material ${unknown}, which is not here.`,
		'Add it on the materials page first.',
	);
}

type ProductInput = RunFileInput['products'][number];

/** One list a spread. */
function photosOf({ spreads, photos }: ProductInput) {
	return spreads?.map((spread) => spread.photos) ?? photos?.map((photo) => [photo]) ?? [];
}

function materialOf(photo: ReturnType<typeof photosOf>[number][number]): string | undefined {
	return typeof photo === 'string' ? undefined : photo.material;
}

function readRun(text: string): RunFileInput {
	let given: unknown;
	try {
		given = JSON.parse(text);
	} catch (cause) {
		const hint = 'Choose a file that was saved from a run.';
		throw new TrayError(
			'file-unreadable',
			'This file is cut short, damaged, or of another kind: it is not JSON.',
			hint,
			{ cause },
		);
	}
	const parsed = runFileSchema.safeParse(given, { error: issueWords });
	// proved by the schema; kept as typed, so that weights are shown as they were written
	if (parsed.success) return given as RunFileInput;
	throw unreadable(parsed.error);
}

/** @param bin - name of the bin that holds what is wrong, where the entry's place does not say it */
function unreadable(cause: ZodError, bin?: string): TrayError {
	const of = bin === undefined ? '' : `${bin}: `;
	return new TrayError(
		'file-unreadable',
		`This file can't be taken in: ${of}${placedWords(cause.issues[0]!, 'run file')}`,
		'Choose a file that was saved from a run.',
		{ cause },
	);
}

async function lotFor(store: Store, { lot, demo = false }: RunFileInput): Promise<string> {
	const name = lot?.name.trim() ?? 'Lot of an imported run';
	const source = lot?.source ?? '';
	const isSame = (one: Pick<Lot, 'name' | 'source' | 'demo'>) =>
		one.name === name && one.demo === demo && (one.source === source || one.source === '' || source === '');
	const there = (await listLots(store)).find(isSame);
	if (there !== undefined) return there.id;
	const id = randomUUID();
	const received = lot?.received === undefined ? null : netMassOf(runFileSchema.shape.lot.parse(lot)!.received!).value;
	const unit = readMass(String(lot?.received?.gross ?? '0 kg'), 'The received mass').unit;
	const entry = { name, source, receivedMassKg: received, receivedUnit: unit };
	await addLot(store, id, { ...entry, treatment: lot?.treatment ?? '', notes: lot?.note ?? '' }, demo);
	return id;
}

/** Weighing, spreads with their photos, and checks of one product. @returns names of photos that are not here */
async function addContent(
	store: Store,
	productId: string,
	given: ProductInput,
): Promise<{ readonly missing: readonly string[]; readonly unknown: readonly string[] }> {
	if (given.weighing !== undefined) await weighProduct(store, productId, given.weighing);
	const [missing, unknown]: [string[], string[]] = [[], []];
	const made = new Map<number, string>();
	for (const [s, photos] of photosOf(given).entries()) {
		const spreadId = randomUUID();
		for (const request of photos.map((photo) => photoRequestSchema.parse(photo))) {
			const { photo: originalName, sha256 } = request;
			if (sha256 === undefined) {
				unknown.push(originalName);
				continue;
			}
			const sizeBytes = await store.files.sizeOf(photoName(sha256));
			if (sizeBytes === undefined) missing.push(originalName);
			const sent = { id: randomUUID(), spreadId, productId, originalName };
			const id = await addPhoto(store, sent, { sha256, sizeBytes: sizeBytes ?? LOST_BYTES }, choiceOf(request));
			if (request.setAside === true) await setAside(store, id);
			made.set(s, spreadId);
		}
		const mass = given.spreads?.[s]?.mass;
		if (mass === undefined || !made.has(s)) continue;
		const { massKg, unit } = readMass(mass, 'The mass of the spread', 'g');
		await weighSpread(store, spreadId, massKg, unit);
	}
	for (const entry of given.checks ?? []) {
		const spreadId = 'spread' in entry ? made.get(Number(entry.spread) - 1) : undefined;
		// a hand sort belongs to its spread's photos; without any it says nothing
		if ('spread' in entry && spreadId === undefined) continue;
		await addCheck(store, { id: randomUUID(), productId, ...(spreadId === undefined ? {} : { spreadId }), entry });
	}
	return { missing, unknown };
}

/** A photo of a file that says nothing of its mat was read at its true size, as the command line reads it, whatever was measured here. */
function choiceOf(request: ReturnType<typeof photoRequestSchema.parse>): ReadingChoice {
	const { surface, corners, fieldMm, method, material, printedScale = 1 } = request;
	return readingChoiceSchema.parse({
		surface,
		...(method === undefined ? {} : { method }),
		...(material === undefined ? {} : { material }),
		printedScale,
		...(corners === undefined ? {} : { corners: corners.flatMap(({ x, y }) => [x, y]) }),
		...(fieldMm === undefined ? {} : { fieldWidthMm: fieldMm.widthMm, fieldHeightMm: fieldMm.heightMm }),
	});
}
