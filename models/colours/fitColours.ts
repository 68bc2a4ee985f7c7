/**
 * Remakes lib/material/defaultColours.ts: colours of the classes as mixtures of normal distributions in CIELAB, fitted to
 * labelled close-ups.
 *
 *   npx tsx models/colours/fitColours.ts FOLDER
 *
 * and then npm run format. FOLDER holds per scene NAME.webp (the picture), NAME.mask.png (class codes) and NAME.json with `white_linear`, what a
 * perfect white reads in that light. Seeded: the same folder gives the same file.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import sharp from 'sharp';
import { cielabOf } from '../../lib/colour/cielab';
import { CLASS_CODE, MATERIAL_CLASSES, type MaterialClass } from '../../lib/material/classes';
import { LINEAR_OF_CODE } from '../../lib/photo/srgbCurve';
import { seededRandom } from '../../lib/quantity/seededRandom';
import { closeUpsOf } from '../closeUps';
import { type Component, fitMixture } from './mixture';

/** Colours per class: insulation comes in many, the metals in bright, dull, shaded and sky-lit. */
const COLOURS: Readonly<Record<MaterialClass, number>> = {
	brightCopper: 4,
	tinnedCopper: 3,
	aluminium: 3,
	insulation: 12,
	other: 2,
};
/** Pixels per class and scene, so that no scene outweighs another. */
const PIXELS_PER_SCENE = 250;

const folder = process.argv[2];
if (folder === undefined) throw new Error('name the folder of labelled close-ups');
const random = seededRandom(20, 'default colours').uniform;
const stems = closeUpsOf(folder);
const samples = new Map<MaterialClass, number[][]>(MATERIAL_CLASSES.map((name) => [name, []]));
for (const stem of stems) await addScene(stem);
write('lib/material/defaultColours.ts', coloursFile());

async function addScene(stem: string): Promise<void> {
	const { white_linear: white } = JSON.parse(readFileSync(`${stem}.json`, 'utf8')) as { white_linear: number[] };
	const picture = await sharp(`${stem}.webp`).removeAlpha().raw().toBuffer();
	const mask = await sharp(`${stem}.mask.png`).extractChannel(0).raw().toBuffer();
	const corrected = (i: number) =>
		[0, 1, 2].map((c) => LINEAR_OF_CODE[picture[3 * i + c]!]! / white[c]!) as [number, number, number];
	const draw = (code: number): number[] => {
		const places = [...mask.keys()].filter((i) => mask[i] === code);
		const count = Math.min(PIXELS_PER_SCENE, places.length);
		return Array.from({ length: count }, () => places[Math.floor(random() * places.length)]!);
	};
	for (const name of MATERIAL_CLASSES)
		samples.get(name)!.push(...draw(CLASS_CODE[name]).map((i) => colourOf(corrected(i))));
}

function colourOf(rgb: [number, number, number]): number[] {
	const { L, a, b } = cielabOf(...rgb);
	return [Math.min(L, 115), a, b];
}

function coloursFile(): string {
	const lines = MATERIAL_CLASSES.map((name) => {
		const mixture = fitMixture(samples.get(name)!, COLOURS[name], random).sort((p, q) => q.share - p.share);
		return `  ${name}: [\n${mixture.map((c, k) => `    ${patch(name, k, c)},`).join('\n')}\n  ],`;
	});
	return `import type { MaterialClass } from './classes';
import type { ColourPatch } from './material';

/**
 * Colours of the default material: light-corrected CIELAB (D65), as mixtures of normal distributions.
 *
 * @source fitted to ${stems.length} rendered close-ups with known classes, each with its own lamps, surface, insulation colours,
 *   tarnish and wetness, by models/colours/fitColours.ts; no tray that Deckside is judged on was used. Made by that
 *   script: change it there.
 */
export const DEFAULT_COLOURS: Readonly<Record<MaterialClass, readonly ColourPatch[]>> = {
${lines.join('\n')}
};
`;
}

function write(file: string, text: string): void {
	writeFileSync(path.join(import.meta.dirname, '../..', file), text);
}

function patch(name: string, k: number, { share, mean, covariance }: Component): string {
	const [L, a, b] = mean.map((v) => v.toFixed(1));
	const spread = covariance.map((v) => Number(v.toFixed(1))).join(', ');
	return `{ name: '${name} ${k + 1}', share: ${share.toFixed(4)}, centre: { L: ${L}, a: ${a}, b: ${b} }, covariance: [${spread}] }`;
}
