import 'server-only';
import { existsSync, readdirSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type BetterSqlite3 from 'better-sqlite3';
import sharp from 'sharp';
import { z } from 'zod';
import { checkSchema } from '../grade/checkEntry';
import { materialSchema } from '../material/material';
import { STORAGE_SENTENCES } from '../report/storageSentences';
import { priceSheetSchema } from '../value/priceSheet';
import { classMapName } from './analyses';
import { checkRecords } from './checkRecords';
import { databasePath, holdsOriginals, MIGRATIONS, migrationsIn, openReadOnly } from './database';
import { wholePlace } from './endRestore';
import { feedSchema, readingChoiceSchema, tableSettingsSchema, typedWeighingSchema } from './entries';
import { localFiles } from './localFiles';
import { stateOfPhoto } from './photoFiles';
import { inPlainWords } from './storageFault';

/** One thing found: what it is, and what to do. */
export interface Finding {
	/** `trouble` wants something done; a `note` is harmless. */
	readonly weight: 'trouble' | 'note';
	readonly message: string;
	readonly hint: string;
}

/** What a data directory holds and what is wrong with it. */
export interface DataCheck {
	readonly photos: number;
	readonly classMaps: number;
	readonly rows: number;
	readonly findings: readonly Finding[];
}

const trouble = (message: string, hint: string): Finding => ({ weight: 'trouble', message, hint });
const note = (message: string, hint: string): Finding => ({ weight: 'note', message, hint });

const RESTORE =
	'Stop Deckside and restore the last backup; keep this directory until the restored one is seen to be right.';
const SEND_AGAIN = 'Send the photo again from the phone; until then its figures stay.';
const READ_AGAIN = 'Open the photo and choose "Read again".';

/**
 * Prove a data directory: the database's own integrity, rows that point nowhere, entries that cannot be read, each original by
 * its checksum, each class map by its size, each sealed record by its seal and pictures, and files that belong to nothing. Nothing is changed; a server may be at work.
 */
export async function checkData(directory: string): Promise<DataCheck> {
	const nothing = { photos: 0, classMaps: 0, rows: 0 };
	try {
		if (!existsSync(databasePath(directory))) return { ...nothing, findings: [noDatabase(directory)] };
		const { handle, close } = openReadOnly(directory);
		try {
			return await checkOpen(directory, handle);
		} finally {
			close();
		}
	} catch (error) {
		const plain = inPlainWords(error);
		if (!(plain instanceof Error && 'hint' in plain)) throw error;
		const damaged = plain.message === STORAGE_SENTENCES.damaged.message;
		return { ...nothing, findings: [trouble(plain.message, damaged ? RESTORE : String(plain.hint))] };
	}
}

async function checkOpen(directory: string, handle: BetterSqlite3.Database): Promise<DataCheck> {
	const found = migrationsIn(handle);
	if (found.length === 0) return { photos: 0, classMaps: 0, rows: 0, findings: [noDatabase(directory)] };
	const versions = checkVersion(found);
	if (versions.some(({ weight }) => weight === 'trouble')) {
		return { photos: 0, classMaps: 0, rows: 0, findings: versions };
	}
	const tables = checkTables(handle);
	const photos = await checkPhotos(directory, handle);
	const maps = await checkClassMaps(directory, handle);
	const rows = [...tablesOf(handle)].reduce(
		(sum, name) => sum + Number(handle.prepare(`select count(*) from "${name}"`).pluck().get()),
		0,
	);
	return {
		photos: photos.count,
		classMaps: maps.count,
		rows,
		findings: [
			...versions,
			...tables,
			...photos.findings,
			...maps.findings,
			...(await checkSealed(directory, handle)),
			...checkLeftOver(directory),
		],
	};
}

function noDatabase(directory: string): Finding {
	if (existsSync(wholePlace(directory))) {
		const hint = 'Start Deckside: that ends it. What was there before lies beside it, under a name with "before".';
		return trouble(`A restore of ${directory} was cut off in its last moment.`, hint);
	}
	if (holdsOriginals(directory)) return trouble(`The database in ${directory} is gone; its photos are there.`, RESTORE);
	const hint = 'Name the data directory in DECKSIDE_DATA, or start Deckside once to make one.';
	return trouble(`There is no data in ${directory}.`, hint);
}

function tablesOf(handle: BetterSqlite3.Database): ReadonlySet<string> {
	const names = handle.prepare("select name from sqlite_master where type = 'table'").pluck().all();
	return new Set(z.array(z.string()).parse(names));
}

function checkVersion(found: readonly string[]): readonly Finding[] {
	const { message, hint } = STORAGE_SENTENCES.newer;
	if (found.some((name) => !(name in MIGRATIONS))) return [trouble(message, hint)];
	const missing = Object.keys(MIGRATIONS).length - found.length;
	if (missing === 0) return [];
	return [
		note('The data is of an earlier version of Deckside.', 'Make a backup; the next start brings it up to date.'),
	];
}

/** Columns that hold JSON, and the schema each is read with. */
const JSON_COLUMNS: readonly (readonly [string, string, string, z.ZodType])[] = [
	['run', 'id', 'settings', tableSettingsSchema],
	['run', 'id', 'feed', feedSchema],
	['product', 'id', 'weighing', typedWeighingSchema],
	['photo', 'id', 'choice', readingChoiceSchema],
	['product_check', 'id', 'entry', checkSchema],
	['material', 'name', 'material', materialSchema],
	['price_sheet', 'id', 'sheet', priceSheetSchema],
];

function checkTables(handle: BetterSqlite3.Database): readonly Finding[] {
	const integrity = handle.pragma('integrity_check', { simple: true });
	if (integrity !== 'ok') return [trouble(`The database is damaged: ${String(integrity)}.`, RESTORE)];
	const orphans = z
		.array(z.object({ table: z.string(), rowid: z.number().nullable(), parent: z.string() }))
		.parse(handle.pragma('foreign_key_check'))
		.map(({ table, rowid, parent }) =>
			trouble(`Row ${rowid} of ${table} belongs to a ${parent} that is gone.`, RESTORE),
		);
	const there = tablesOf(handle);
	const unreadable = JSON_COLUMNS.filter(([table]) => there.has(table)).flatMap(([table, id, column, schema]) =>
		handle
			.prepare(`select ${id} as id, ${column} as text from ${table} where ${column} is not null`)
			.all()
			.map((row) => z.object({ id: z.string(), text: z.string() }).parse(row))
			.filter(({ text }) => !isReadable(text, schema))
			.map((row) => trouble(`The ${column} of ${table} ${row.id} cannot be read.`, RESTORE)),
	);
	return [...orphans, ...unreadable];
}

function isReadable(text: string, schema: z.ZodType): boolean {
	try {
		return schema.safeParse(JSON.parse(text)).success;
	} catch {
		return false;
	}
}

async function checkPhotos(directory: string, handle: BetterSqlite3.Database) {
	const rows = z
		.array(z.object({ sha256: z.string(), name: z.string(), deleted: z.number() }))
		.parse(
			handle
				.prepare(
					'select sha256, min(original_name) as name, min(deleted_at is not null) as deleted from photo group by sha256',
				)
				.all(),
		);
	const findings: Finding[] = [];
	for (const { sha256, name, deleted } of rows) {
		const state = await stateOfPhoto(localFiles(directory), sha256);
		if (state === 'whole') continue;
		const what = `The original of ${name} (${sha256.slice(0, 12)}) ${state === 'missing' ? 'is missing' : 'was altered'}.`;
		findings.push(
			deleted === 1 ? note(what, 'It was removed by a person, and is not used.') : trouble(what, SEND_AGAIN),
		);
	}
	const known = new Set(rows.map(({ sha256 }) => sha256));
	for (const name of filesIn(path.join(directory, 'photos'))) {
		const sha256 = name.split(path.sep).join('');
		if (known.has(sha256)) continue;
		const hint =
			'It may be what a stop left of an upload that nobody was told is kept, or a removed demonstration. It may be deleted.';
		findings.push(note(`The file photos/${name} belongs to no photo on record.`, hint));
	}
	return { count: rows.length, findings };
}

async function checkClassMaps(directory: string, handle: BetterSqlite3.Database) {
	const rows = z.array(z.object({ key: z.string(), result: z.string().nullable(), name: z.string() })).parse(
		handle
			.prepare(
				`select photo.analysis_key as key, min(analysis.result) as result, min(photo.original_name) as name
           from photo left join analysis on analysis.key = photo.analysis_key
           where photo.state = 'graded' and photo.deleted_at is null group by photo.analysis_key`,
			)
			.all(),
	);
	const findings: Finding[] = [];
	for (const { key, result, name } of rows) {
		const wrong = await wrongWithMap(path.join(directory, classMapName(key)), result);
		if (wrong !== undefined) findings.push(trouble(`${wrong} of ${name} (${key.slice(0, 12)}).`, READ_AGAIN));
	}
	const known = new Set(handle.prepare('select key from analysis').pluck().all());
	const stray = filesIn(path.join(directory, 'maps')).filter((name) => !known.has(name.replace(/\.png$/, '')));
	for (const name of stray) findings.push(note(`The file maps/${name} belongs to no reading.`, 'It may be deleted.'));
	return { count: rows.length, findings };
}

const sizeSchema = z.object({ widthPx: z.number(), heightPx: z.number() });

async function wrongWithMap(file: string, result: string | null): Promise<string | undefined> {
	if (result === null || !isReadable(result, sizeSchema)) return 'The figures are gone';
	if (!existsSync(file)) return 'The picture of the classes is missing';
	const { widthPx, heightPx } = sizeSchema.parse(JSON.parse(result));
	const { info } = await sharp(await readFile(file))
		.raw()
		.toBuffer({ resolveWithObject: true })
		.catch(() => ({ info: undefined }));
	return info?.width === widthPx && info.height === heightPx ? undefined : 'The picture of the classes was altered';
}

/** A file of records that this data knows nothing of is a picture that was drawn for a record that was then not sealed, or not Deckside's. */
async function checkSealed(directory: string, handle: BetterSqlite3.Database): Promise<readonly Finding[]> {
	if (!tablesOf(handle).has('record')) return [];
	const rows = z
		.array(z.object({ number: z.string(), sealed: z.string() }))
		.parse(handle.prepare('select number, sealed from record order by number').all());
	const { broken, strayFiles } = await checkRecords(localFiles(directory), rows);
	return [
		...broken.map(({ number, wrong }) => trouble(`The sealed record ${number} ${wrong}.`, RESTORE)),
		...strayFiles.map((name) => note(`The file ${name} belongs to no record.`, 'It may be deleted.')),
	];
}

function checkLeftOver(directory: string): readonly Finding[] {
	return filesIn(path.join(directory, 'incoming')).map((name) =>
		note(`incoming/${name} is an upload under way or cut off.`, 'The next start clears it.'),
	);
}

function filesIn(folder: string): readonly string[] {
	if (!existsSync(folder)) return [];
	return readdirSync(folder, { recursive: true, withFileTypes: true })
		.filter((entry) => entry.isFile())
		.map((entry) => path.relative(folder, path.join(entry.parentPath, entry.name)))
		.sort();
}
