import { existsSync } from 'node:fs';
import path from 'node:path';
import { TrayError, toldOf } from '@/lib/errors/TrayError';
import { checkYard } from '@/lib/store/checkYard';
import { databasePath } from '@/lib/store/database';
import { forgetDevice, listDevices } from '@/lib/store/devices';
import { moveDirectory } from '@/lib/store/moveDirectory';
import { databaseUrl, yardNameFrom } from '@/lib/store/ownYard';
import { openPostgres, type YardDatabase } from '@/lib/store/postgres';
import { addYard, listYards, needYard, renewYardCodes, type YardCodes } from '@/lib/store/yards';

const USAGE = `DATABASE_URL=postgres://... npm run yard -- list              all yards
DATABASE_URL=postgres://... npm run yard -- add NAME          add one, and show its codes
DATABASE_URL=postgres://... npm run yard -- code NAME         new codes; joined devices stay
DATABASE_URL=postgres://... npm run yard -- devices NAME      devices that joined it
DATABASE_URL=postgres://... npm run yard -- forget NAME ID    let a device in no longer
DATABASE_URL=postgres://... npm run yard -- check NAME        prove its photos, readings and records
DATABASE_URL=postgres://... npm run yard -- fill NAME FOLDER  move a data directory into an empty yard

A name is small letters, digits and dashes.`;

/** What can be asked, with how many words after it. */
const COMMANDS: Readonly<
	Record<string, { readonly words: number; run(db: YardDatabase, ...given: string[]): Promise<void> }>
> = {
	list: { words: 0, run: list },
	add: { words: 1, run: async (db, name = '') => show(name, await addYard(db, name)) },
	code: { words: 1, run: async (db, name = '') => show(name, await renewYardCodes(db, name)) },
	devices: { words: 1, run: devices },
	forget: { words: 2, run: forget },
	check: { words: 1, run: check },
	fill: { words: 2, run: fill },
};

async function list(database: YardDatabase): Promise<void> {
	const yards = await listYards(database);
	if (yards.length === 0) console.log('No yard yet.');
	for (const { name, hasCode, runs, photos } of yards) {
		console.log(`${name}: ${runs} runs, ${photos} photos${hasCode ? '' : '; no code was made for it'}`);
	}
}

function show(name: string, { phones, office }: YardCodes): void {
	console.log(`Codes of ${name}, shown this once; write them down:`);
	console.log(`  phones  ${phones}   for every device at the tables`);
	console.log(`  office  ${office}   for the computer that forgets devices and keeps the signing key`);
	console.log('A device joins on the page /join, or by opening /join#CODE.');
}

async function devices(database: YardDatabase, name = ''): Promise<void> {
	await needYard(database, name);
	const joined = await listDevices(database.storeOf(name));
	if (joined.length === 0) console.log('No device has joined.');
	for (const { id, name: called, joinedAt, seenAt, isOffice } of joined) {
		console.log(`${id}  ${called}${isOffice ? ' (office)' : ''}, joined ${joinedAt}, last seen ${seenAt}`);
	}
}

async function forget(database: YardDatabase, name = '', id = ''): Promise<void> {
	await needYard(database, name);
	const store = database.storeOf(name);
	if (!(await listDevices(store)).some((device) => device.id === id)) {
		throw new TrayError('not-found', 'No such device has joined.', `See which have: npm run yard -- devices ${name}`);
	}
	await forgetDevice(store, id);
	store.changes.announce();
	console.log('It is let in no longer.');
}

async function check(database: YardDatabase, name = ''): Promise<void> {
	await needYard(database, name);
	const { photos, missing, altered, mapsMissing, records } = await checkYard(database.storeOf(name));
	for (const sha256 of missing) console.log(`Missing: photo ${sha256}. Send it again from the phone.`);
	for (const sha256 of altered) console.log(`Altered: photo ${sha256}. Send it again from the phone.`);
	for (const key of mapsMissing) console.log(`Missing: what was seen on a photo (${key}). Read the photo again.`);
	for (const { number, wrong } of records.broken) {
		console.log(`Broken: the sealed record ${number} ${wrong}. Bring it back from the last backup.`);
	}
	for (const file of records.strayFiles) console.log(`Note: the file ${file} belongs to no record. It may be deleted.`);
	const bad = missing.length + altered.length + mapsMissing.length + records.broken.length;
	console.log(`${name}: ${photos} photos looked at by their checksums. ${bad === 0 ? 'All is whole.' : 'See above.'}`);
	if (bad > 0) process.exitCode = 1;
}

async function fill(database: YardDatabase, name = '', directory = ''): Promise<void> {
	const folder = path.resolve(directory);
	if (!existsSync(databasePath(folder))) {
		throw new TrayError(
			'usage',
			`There is no data in ${folder}.`,
			'Name the folder that DECKSIDE_DATA named, or ./data.',
		);
	}
	const { rows, photos, otherFiles, lostPhotos } = await moveDirectory(folder, database, yardNameFrom(name));
	const all = Object.values(rows).reduce((sum, count) => sum + count, 0);
	console.log(`${name}: ${rows.run} runs, ${photos} photos, ${all} rows and ${otherFiles} other files, each proved.`);
	console.log(`${folder} is as it was; keep it until the yard is seen to be right.`);
	console.log(`To let devices join: npm run yard -- code ${name}`);
	for (const sha256 of lostPhotos) console.log(`Missing or altered in the folder, and not moved: photo ${sha256}`);
	if (lostPhotos.length > 0) process.exitCode = 1;
}

const [what = '', ...given] = process.argv.slice(2);
const command = Object.hasOwn(COMMANDS, what) ? COMMANDS[what] : undefined;
const url = databaseUrl();
if (url === undefined || command === undefined || given.length !== command.words) {
	console.error(USAGE);
	process.exitCode = 2;
} else {
	try {
		const database = await openPostgres(url);
		await command.run(database, ...given).finally(() => database.close());
	} catch (trouble) {
		if (!(trouble instanceof TrayError)) throw trouble;
		console.error(toldOf(trouble));
		process.exitCode = trouble.code === 'usage' ? 2 : 1;
	}
}
