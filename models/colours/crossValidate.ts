/**
 * Reads close-ups with known classes by thresholds and prints how their pixels were called, one JSON line each, as `npm run
 * fit:error-rates` takes them.
 *
 *   npx tsx models/colours/crossValidate.ts FOLDER FOLD FOLDS
 *
 * Reads the scenes whose number leaves FOLD when divided by FOLDS; the colours must have been fitted to the others (fitColours.ts on a
 * folder of those). Mats are read in their known light, trays as the app reads a plain tray.
 */
import path from 'node:path';
import { correctLight } from '../../lib/colour/correctLight';
import { ERROR_CLASSES } from '../../lib/grade/errorRates';
import { DEFAULT_MATERIAL } from '../../lib/material/defaultMaterial';
import { segment } from '../../lib/segmentation/segment';
import { closeUpsOf, readCloseUp } from '../closeUps';

const [folder, fold, folds] = process.argv.slice(2);
if (folder === undefined) throw new Error('name the folder of labelled close-ups, the fold and the number of folds');
for (const [k, stem] of closeUpsOf(folder).entries())
	if (k % Number(folds) === Number(fold)) console.log(JSON.stringify(await read(stem)));

async function read(stem: string) {
	const { raster, mask, surface, light, onWhat } = await readCloseUp(stem);
	const { labels } = await segment(
		raster,
		surface,
		surface.kind === 'mat' ? light : correctLight(raster, surface),
		DEFAULT_MATERIAL,
	);
	const called = Array.from({ length: ERROR_CLASSES }, () => new Array<number>(ERROR_CLASSES).fill(0));
	for (let i = 0; i < labels.length; i++) if (labels[i]! < ERROR_CLASSES) called[mask[i]!]![labels[i]!]! += 1;
	return { picture: path.basename(stem), method: 'threshold', surface: onWhat, table: called };
}
