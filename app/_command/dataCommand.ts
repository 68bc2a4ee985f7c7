import path from 'node:path';
import { TrayError, toldOf } from '@/lib/errors/TrayError';
import { backUp } from '@/lib/store/backup';
import { checkData } from '@/lib/store/checkData';
import { dataDirectory } from '@/lib/store/database';
import { restore } from '@/lib/store/restore';

const USAGE = `npm run data:backup -- FILE.tar             put everything on record into one file
npm run data:restore -- FILE.tar [--replace] bring it back into an empty data directory
npm run data:check [-- --json]               prove what lies in the data directory

The data directory is DECKSIDE_DATA, or ./data.`;

/** Exit status: done and sound, something is wrong with the data or the file, wrong usage. */
const [DONE, TROUBLE, WRONG_USAGE] = [0, 1, 2] as const;

async function main([what, ...given]: readonly string[]): Promise<number> {
	const files = given.filter((word) => !word.startsWith('--'));
	const switches = given.filter((word) => word.startsWith('--'));
	const [file] = files;
	if (process.env.DATABASE_URL) {
		console.error("The data is on the server of DATABASE_URL. Back it up and restore it by that server's own means,");
		console.error('and the bucket of DECKSIDE_OBJECTS_URL by its own. To prove a yard: npm run yard -- check NAME');
		return WRONG_USAGE;
	}
	const allowed = { backup: [], restore: ['--replace'], check: ['--json'] }[what ?? ''];
	const needsFile = what !== 'check';
	if (
		allowed === undefined ||
		files.length !== (needsFile ? 1 : 0) ||
		switches.some((word) => !allowed.some((known) => known === word))
	) {
		console.error(USAGE);
		return WRONG_USAGE;
	}
	if (file === undefined) return check(switches.includes('--json'));
	return what === 'backup' ? backup(file) : bringBack(file, switches.includes('--replace'));
}

async function backup(file: string): Promise<number> {
	const { files, lostPhotos } = await backUp(dataDirectory(), file);
	const photos = files.filter(({ name }) => name.startsWith('photos/')).length;
	const bytes = files.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0);
	console.log(`${path.resolve(file)}: ${photos} photos and the database, ${megabytes(bytes)}, read again and whole.`);
	if (lostPhotos.length === 0) return DONE;
	console.error(`${lostPhotos.length} photos on record are missing or altered on disk and are not in it.`);
	console.error('Run "npm run data:check" to see which.');
	return TROUBLE;
}

async function bringBack(file: string, replace: boolean): Promise<number> {
	const { manifest, earlierData } = await restore(file, dataDirectory(), replace);
	console.log(`The data of ${manifest.madeAt} is in ${dataDirectory()}: ${manifest.files.length} files, each proved.`);
	if (earlierData !== undefined) console.log(`What was there before is in ${earlierData}.`);
	return DONE;
}

async function check(json: boolean): Promise<number> {
	const found = await checkData(dataDirectory());
	const sound = found.findings.every(({ weight }) => weight === 'note');
	if (json) {
		console.log(JSON.stringify({ deckside: 'dataCheck/1', sound, ...found }, null, 2));
		return sound ? DONE : TROUBLE;
	}
	for (const { weight, message, hint } of found.findings) {
		console.log(`${weight === 'note' ? 'Note' : 'Trouble'}: ${message} ${hint}`);
	}
	console.log(`${dataDirectory()}: ${found.rows} rows, ${found.photos} photos, ${found.classMaps} readings looked at.`);
	console.log(sound ? 'All is whole.' : 'Something is wrong; see above.');
	return sound ? DONE : TROUBLE;
}

function megabytes(bytes: number): string {
	return `${(bytes / 1e6).toFixed(1)} MB`;
}

try {
	process.exitCode = await main(process.argv.slice(2));
} catch (trouble) {
	if (!(trouble instanceof TrayError)) throw trouble;
	console.error(toldOf(trouble));
	process.exitCode = trouble.code === 'usage' ? WRONG_USAGE : TROUBLE;
}
