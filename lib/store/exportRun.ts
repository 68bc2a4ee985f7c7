import 'server-only';
import { TrayError } from '../errors/TrayError';
import { fromKg, MASS_UNITS } from '../quantity/units';
import { printKept } from '../report/format';
import { type RunFileInput, runFileSchema } from '../report/runFile';
import { checksWithPlaces } from './checks';
import type { Store } from './database';
import { lessonsFor } from './lessons';
import { getLot } from './lots';
import type { Photo } from './photos';
import { labelsOf } from './runProducts';
import { measuredScale } from './settings';
import type { RunBoard } from './workedRun';

/**
 * A run as a file that the command line takes. Photos stand by the names they were sent under; the file is laid beside them.
 *
 * @throws TrayError `usage` where the run has no product
 */
export async function exportRun(store: Store, { run, products }: RunBoard): Promise<RunFileInput> {
	if (products.length === 0)
		throw new TrayError('usage', 'This run has no product, so there is nothing to save.', 'Add a product first.');
	const lot = await getLot(store, run.lotId);
	const labels = labelsOf(products);
	const { weighing, grade, loss, scales } = run.feed;
	const lessons = await lessonsFor(store, run);
	// 1 where nobody measured the mat, and so it is read elsewhere
	const scale = await measuredScale(store);
	const requestOf = (photo: Photo) => ({
		...photoRequestOf(photo),
		printedScale: photo.choice.printedScale ?? scale,
	});
	const file: RunFileInput = {
		deckside: 'run/1',
		name: run.name,
		date: run.runDate,
		...(run.notes === '' ? {} : { note: run.notes }),
		...(run.demo ? { demo: true } : {}),
		lot: {
			name: lot.name,
			...(lot.source === '' ? {} : { source: lot.source }),
			...(lot.treatment === '' ? {} : { treatment: lot.treatment }),
			...(lot.notes === '' ? {} : { note: lot.notes }),
			...(lot.receivedMassKg === null ? {} : { received: { gross: massTextOf(lot.receivedMassKg, lot.receivedUnit) } }),
		},
		settings: run.settings,
		material: run.material,
		feed: { ...(weighing === undefined ? {} : { weighing }), ...(grade === undefined ? {} : { grade }) },
		...(loss === undefined ? {} : { loss: { weighing: loss } }),
		...(scales === undefined ? {} : { scales }),
		...(lessons.length === 0
			? {}
			: {
					lessons: lessons.map(({ label, role, check, photo }) => ({
						label,
						role,
						check,
						...(photo === undefined ? {} : { photo: requestOf(photo) }),
					})),
				}),
		products: products.map((product) => ({
			name: labels.get(product.id) ?? product.name,
			role: product.role,
			...(product.weighing === undefined ? {} : { weighing: product.weighing }),
			spreads: product.spreads.map(({ photos, weighedMassKg, weighedUnit }) => ({
				photos: photos.map(requestOf),
				...(weighedMassKg === undefined ? {} : { mass: massTextOf(weighedMassKg, weighedUnit) }),
			})),
			...(product.checks.length === 0
				? {}
				: {
						checks: [
							...checksWithPlaces(
								product.checks,
								product.spreads.map(({ id }) => id),
							),
						],
					}),
		})),
	};
	runFileSchema.parse(file);
	return file;
}

/** A mass in the unit it was entered in. */
function massTextOf(massKg: number, unitText: string): string {
	const unit = MASS_UNITS.find((one) => one === unitText) ?? 'g';
	return `${printKept(fromKg(massKg, unit))} ${unit}`;
}

function photoRequestOf({ originalName, choice, sha256, state }: Photo) {
	const { corners, fieldWidthMm, fieldHeightMm } = choice;
	return {
		photo: originalName,
		sha256,
		...(state.kind === 'held' && state.why === 'setAside' ? { setAside: true } : {}),
		surface: choice.surface,
		...(choice.method === 'auto' ? {} : { method: choice.method }),
		...(choice.material === undefined ? {} : { material: choice.material }),
		...(corners === undefined ? {} : { corners: [...corners] }),
		...(fieldWidthMm === undefined || fieldHeightMm === undefined
			? {}
			: { fieldMm: [fieldWidthMm, fieldHeightMm] as [number, number] }),
	};
}
