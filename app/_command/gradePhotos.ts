import { mkdir } from 'node:fs/promises';
import path from 'node:path';
import { TrayError, toldOf } from '@/lib/errors/TrayError';
import type { ErrorRatesByKind } from '@/lib/grade/errorRates';
import { gradePhoto } from '@/lib/grade/gradePhoto';
import { type GradeTables, gradeProduct } from '@/lib/grade/gradeProduct';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { drawSharedErrors, type SharedErrors } from '@/lib/grade/sharedErrors';
import type { Material } from '@/lib/material/material';
import { samePictures } from '@/lib/particles/samePicture';
import type { PhotoWarning } from '@/lib/photo/photoWarning';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '@/lib/quantity/seededRandom';
import { writeClassMap } from '@/lib/report/classMapFile';
import type { PhotoRequest } from '@/lib/report/photoFile';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import type { GradeArguments } from './gradeArguments';
import { partnerFromSource } from './networkPartner';
import { openMaterial } from './openMaterial';
import { type PhotoReaders, startReaders } from './photoReaders';
import type { FileReading } from './readRequest';

/** What every photo of one command is read with. */
export interface Engine {
	readonly material: Material;
	readonly errorRates: ErrorRatesByKind;
	readonly readers: PhotoReaders;
	readonly classMapFolder: string | undefined;
	/** Names of class maps written so far, so that two photos of one name don't overwrite each other. */
	readonly classMapNames: Set<string>;
}

/** One photo's line of the result. */
export interface GradedPhoto extends GradeTables {
	readonly photo: string;
	readonly surface: 'mat' | 'tray';
	readonly method: 'threshold' | 'model';
	readonly widthPx: number;
	readonly heightPx: number;
	readonly pxPerMm: number;
	readonly warnings: readonly PhotoWarning[];
}

/** A photo that could not be graded, and why. */
export interface Failure {
	readonly photo: string;
	readonly message: string;
}

/** A photo as asked for and as read. */
export interface ReadPhoto {
	readonly request: PhotoRequest;
	readonly reading: FileReading;
}

export interface PhotosResult {
	readonly material: string;
	readonly photos: readonly GradedPhoto[];
	/** All photos taken as spreads of one product; missing when none could be graded. */
	readonly combined?: GradeTables;
}

/**
 * Open what the photos are read with: material, error rates, and the model where it is asked for and there.
 *
 * @param run - the material that a run file names, for where the command names none
 * @throws TrayError when the material can't be read, or the model is asked for by name and missing
 */
export async function openEngine(
	asked: GradeArguments,
	run?: { readonly name: string | undefined; readonly beside: string },
): Promise<Engine> {
	const material = await openMaterial(
		asked.material ?? run?.name,
		asked.material === undefined ? run?.beside : undefined,
	);
	const opened = asked.method === 'threshold' ? undefined : await openPixelModel(undefined, partnerFromSource());
	if (asked.method === 'model' && opened?.model === undefined) {
		throw new TrayError(
			'file-unreadable',
			`The model can't be used: ${opened?.reason ?? 'not asked for'}.`,
			'Use --method threshold.',
		);
	}
	if (asked.classMapFolder !== undefined) await mkdir(asked.classMapFolder, { recursive: true });
	return {
		material,
		errorRates: measuredErrorRates,
		readers: startReaders({ material, method: asked.method }, opened?.model),
		classMapFolder: asked.classMapFolder,
		classMapNames: new Set(),
	};
}

/** Read photos; what can't be read is told apart, the others go on. */
export async function readPhotos(
	requests: readonly PhotoRequest[],
	engine: Engine,
): Promise<{ readonly read: readonly ReadPhoto[]; readonly failures: readonly Failure[] }> {
	const read: ReadPhoto[] = [];
	const failures: Failure[] = [];
	engine.readers.begin(requests);
	for (const request of requests) {
		try {
			const reading = await engine.readers.read(request);
			if (engine.classMapFolder !== undefined) {
				const picture = { width: reading.widthPx, height: reading.heightPx };
				await writeClassMap(reading.classMap, picture, classMapPath(engine, engine.classMapFolder, request.photo));
			}
			read.push({ request, reading });
		} catch (trouble) {
			failures.push({ photo: request.photo, message: toldOf(trouble) });
		}
	}
	return { read, failures };
}

function classMapPath(engine: Engine, folder: string, photo: string): string {
	const base = path.parse(photo).name;
	let name = base;
	for (let next = 2; engine.classMapNames.has(name); next++) name = `${base}-${next}`;
	engine.classMapNames.add(name);
	return path.join(folder, `${name}.png`);
}

/** The shared errors of what one command grades together. */
function sharedErrorsOf(engine: Engine): SharedErrors {
	return drawSharedErrors(engine.material, engine.errorRates, DEFAULT_DRAWS, DEFAULT_SEED);
}

/** One photo graded by itself; `twice` holds the warnings of those that stand in another place too. */
export function gradedPhoto(photo: ReadPhoto, engine: Engine, twice: ReturnType<typeof pictureWarnings>): GradedPhoto {
	const { request, reading } = photo;
	const warning = twice.get(photo);
	return {
		photo: request.photo,
		surface: reading.surface.kind,
		method: reading.reading.method,
		widthPx: reading.widthPx,
		heightPx: reading.heightPx,
		pxPerMm: reading.surface.pxPerMm,
		warnings: warning === undefined ? reading.warnings : [...reading.warnings, warning],
		...gradePhoto(reading.reading, engine.material, engine.errorRates),
	};
}

/** Warnings of photos that stand in another place too. */
export function pictureWarnings(
	places: readonly { readonly photo: ReadPhoto; readonly bin: string; readonly spread: number }[],
): ReadonlyMap<ReadPhoto, PhotoWarning> {
	const placed = places.map(({ photo, ...place }, i) => ({
		id: `${i}`,
		sha256: photo.reading.sha256,
		reading: photo.reading.reading,
		...place,
	}));
	const found = samePictures(placed);
	return new Map(
		placed.flatMap(({ id }, i) => {
			const warning = found.get(id);
			return warning === undefined ? [] : [[places[i]!.photo, warning] as const];
		}),
	);
}

/** Grade photos as spreads of one product: each by itself, and all together. */
export async function gradePhotos(
	requests: readonly PhotoRequest[],
	engine: Engine,
): Promise<{ readonly result: PhotosResult; readonly failures: readonly Failure[] }> {
	const { read, failures } = await readPhotos(requests, engine);
	const spreads = read.map(({ reading }) => [reading.reading]);
	const twice = pictureWarnings(read.map((photo, spread) => ({ photo, bin: '', spread: spread + 1 })));
	return {
		result: {
			material: engine.material.name,
			photos: read.map((photo) => gradedPhoto(photo, engine, twice)),
			...(spreads.length === 0
				? {}
				: { combined: gradeProduct(spreads, engine.material, sharedErrorsOf(engine)).tables }),
		},
		failures,
	};
}
