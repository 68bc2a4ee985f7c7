import 'server-only';
import { readFile } from 'node:fs/promises';
import { DEFAULT_MATERIAL } from '../material/defaultMaterial';
import type { AnalysisPool } from './analysisPool';
import { readingChoiceSchema } from './entries';

/** A program that has just started has pages to show first, ms. Chosen by eye. */
const PRACTICE_AFTER_MS = 15_000;
/** Readings by thresholds after which little is compiled any more: later ones take a third of the second (DEVELOPERS.md, "Speed"). */
export const READINGS = 10;
/** A photo of the demonstration: mat, copper, plastic, shadows. */
const PRACTICE_PHOTO = 'demo-images/dev-run-conc1-tray1.jpg';

/**
 * Let the threads of a program that waits for photos practise on one of the demonstration's, some time after its start: once as photos are read
 * unless told otherwise, which opens the model, then by thresholds, whose steps most of the code is. Without that picture nothing happens.
 *
 * @returns gives it up, as far as it has not begun
 */
export function practiseLater(pool: Pick<AnalysisPool, 'practise'>): () => void {
	const waiting = setTimeout(() => {
		practise(pool).catch((error: unknown) => console.error('Threads could not practise:', error));
	}, PRACTICE_AFTER_MS).unref();
	return () => clearTimeout(waiting);
}

/** Practise now. Told when it is over; the pool leaves off when a photo comes. */
async function practise(pool: Pick<AnalysisPool, 'practise'>): Promise<void> {
	const bytes = await readFile(/* turbopackIgnore: true */ PRACTICE_PHOTO).catch(() => undefined);
	if (bytes === undefined) return;
	const by = (method: 'auto' | 'threshold') => ({
		choice: readingChoiceSchema.parse({ method }),
		material: DEFAULT_MATERIAL,
		matScale: 1,
	});
	await pool.practise(bytes, by('auto'), 1);
	await pool.practise(bytes, by('threshold'), READINGS);
}
