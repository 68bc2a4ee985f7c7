import { readdir, readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { readingFiguresSchema } from '@/lib/report/readingFigures';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import { linesOf, readingFigures, worstLines } from './collectFigures';
import { trayTruthSchema } from './trayTruth';
import { worstPicture } from './worstPicture';

/**
 * Makes what the method page tells of the reading of pixels: app/method/readingFigures.json and the three worst overlays beside it.
 *
 *   npm run method:page -- LINES... FOLDER...
 *
 * LINES are files of what `npm run bench:accuracy -- --tables FOLDER` printed, FOLDERs the pictures with truth that they are of. To be run again when
 * the model or the reading has changed.
 */

const WORST = 3;
const PAGE = 'app/method';

const { positionals } = parseArgs({ allowPositionals: true });
const files = positionals.filter((name) => path.extname(name) !== '');
const folders = positionals.filter((name) => path.extname(name) === '');
const lines = linesOf(await Promise.all(files.map((file) => readFile(file, 'utf8'))));
const worst = worstLines(lines, 'model', WORST);
if (worst.length < WORST || folders.length === 0) {
	console.error(
		'Name the files printed by `npm run bench:accuracy -- --tables FOLDER` (with the model, three pictures at least) and their folders.',
	);
	process.exit(2);
}
const { model } = await openPixelModel();
if (model === undefined) {
	console.error('The model files are missing: the worst pictures are those that it reads worst.');
	process.exit(2);
}
for (const [k, { picture }] of worst.entries()) {
	const stem = await stemOf(picture);
	const truth = trayTruthSchema.parse(JSON.parse(await readFile(`${stem}.json`, 'utf8')));
	const { photo, classes } = await worstPicture(stem, truth, model);
	await writeFile(path.join(PAGE, `worst-${k + 1}.webp`), photo);
	await writeFile(path.join(PAGE, `worst-${k + 1}-classes.webp`), classes);
}
const figures = readingFiguresSchema.parse(readingFigures(lines, worst));
await writeFile(path.join(PAGE, 'readingFigures.json'), `${JSON.stringify(figures)}\n`);

/** Path of a picture without its ending. */
async function stemOf(picture: string): Promise<string> {
	for (const folder of folders)
		if ((await readdir(folder)).includes(`${picture}.jpg`)) return path.join(folder, picture);
	throw new Error(`none of the folders holds ${picture}.jpg`);
}
