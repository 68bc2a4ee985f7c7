import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import { beyondEnd, taken } from '../quantity/draws';
import { type Random, seededRandom } from '../quantity/seededRandom';
import { shareEstimate } from '../quantity/shareEstimate';
import type { GradeCause } from './causes';
import {
	type AreaGain,
	type DrawnKind,
	ERROR_CLASSES,
	type ErrorRates,
	type ErrorRatesByKind,
	UNKNOWN_GAIN,
} from './errorRates';
import { UNSEEN_SHARE } from './sceneScatter';
import { inSideLight } from './sideLight';

type PerClass = Readonly<Record<MaterialClass, Float64Array>>;

/** Standard uniforms, each between the two ends of what is not known about overlap. */
export interface OverlapDraws {
	/** From none of the chance overlap, as a careful hand leaves, to all of it. */
	readonly piled: Float64Array;
	/** From an order by chance to the thicker piece on top. */
	readonly order: Float64Array;
	/** From nothing to all of what pieces of one class hide of each other comes back as width: side by side they read as one. */
	readonly merged: PerClass;
}

/** Draws added to the log odds of the copper classes' share, and of aluminium's among the rest; see `sceneScatter.ts`. */
export interface SceneShift {
	readonly copper: Float64Array;
	readonly aluminium: Float64Array;
}

/** Draws of the factor from copper's area seen to its true area. */
export interface CopperGain {
	readonly much: Float64Array;
	readonly little: Float64Array;
	readonly trace: Float64Array;
}

/**
 * Draws of everything that all photos read with one material share: it does not average out over spreads or bins.
 *
 * Index i of every array is one possible world; arrays have `draws` entries.
 */
export interface SharedErrors {
	readonly draws: number;
	readonly seed: number;
	readonly densityKgPerM3: PerClass;
	readonly shapeFactor: PerClass;
	readonly sheetThicknessMm: PerClass;
	readonly copperFraction: PerClass;
	/**
	 * Per kind of reading, draws x 36: row-major table of the rates at which a true class is called another, rows sum to one.
	 * Drawn when first asked for; the same draws whenever asked again.
	 */
	readonly ratesOf: (kind: DrawnKind) => Float64Array;
	/** Per kind of reading and class: factor from the area seen to the true area, where the class is much of the pieces. */
	readonly areaGainOf: (kind: DrawnKind) => PerClass;
	/** The same worlds where it is little of them. */
	readonly minorAreaGainOf: (kind: DrawnKind) => PerClass;
	/** The same worlds where it is hardly there. */
	readonly traceAreaGainOf: (kind: DrawnKind) => PerClass;
	/** The factor of bright and tinned copper together, where it is much of the pieces and where little; undefined where each is scaled by itself. */
	readonly copperGainOf: (kind: DrawnKind) => CopperGain | undefined;
	/** By code on an error table: 1 where that factor was measured, else 0. Undefined where none was; the factor is 1 then. */
	readonly measuredGainsOf: (kind: DrawnKind) => Uint8Array | undefined;
	/** Per kind of reading: what each world adds to the log odds of area shares; undefined where the error table says all. */
	readonly sceneShiftOf: (kind: DrawnKind) => SceneShift | undefined;
	/** Factor on the default locked copper, or the drawn locked share of insulation where a hand check gave one. */
	readonly locked: Float64Array;
	/** Standard normal: how far off the rims of a class's pieces are read, the same for all its pieces since lens and method are. */
	readonly rims: PerClass;
	/** How spreads of this material overlap; see `overlap.ts`. */
	readonly overlap: OverlapDraws;
	/** Factor on the mass per area that hand sorts found, on top of shape and density; 1 where none was made. */
	readonly massFactor: PerClass;
	/** Causes held at their best value, for the budget; empty otherwise. */
	readonly held: ReadonlySet<GradeCause>;
}

/**
 * Draw the shared errors of a material once, for all photos of all products of a run.
 *
 * Densities and thickness factors are drawn log-normal (they cannot be negative), copper contents on a beta distribution,
 * error rates log-normal about their mean with their scene-to-scene scatter, rows scaled to one.
 *
 * @param draws - how many worlds, at least 2
 * @source JCGM 101:2008 6.4 (choice of distributions)
 */
export function drawSharedErrors(
	material: Material,
	errorRates: ErrorRatesByKind,
	draws: number,
	seed: number,
): SharedErrors {
	const random = seededRandom(seed, 'shared', material.name);
	const ratesIn = (kind: DrawnKind) =>
		kind === 'model-mat-side-lit' ? inSideLight(errorRates['model-mat']) : errorRates[kind];
	const drawn = (draw: (name: MaterialClass) => () => number): PerClass => perClass((name) => taken(draws, draw(name)));
	return {
		draws,
		seed,
		densityKgPerM3: drawn((name) => logNormal(random, material.classes[name].densityKgPerM3)),
		shapeFactor: drawn((name) => logNormal(random, material.classes[name].shape.factor)),
		sheetThicknessMm: drawn((name) =>
			logNormal(random, material.classes[name].shape.sheetThicknessMm ?? { value: 1, u: 0 }),
		),
		copperFraction: drawn((name) => {
			const { copperFraction } = material.classes[name];
			const isEnd = copperFraction.value === 0 || copperFraction.value === 1;
			return betaShare(
				isEnd ? seededRandom(seed, 'copper beyond an end', material.name, name) : random,
				copperFraction,
			);
		}),
		ratesOf: onceFor((kind) => drawRates(seededRandom(seed, 'error rates', kind, material.name), ratesIn(kind), draws)),
		areaGainOf: onceFor((kind) =>
			drawGains(seededRandom(seed, 'area gain', kind, material.name), ratesIn(kind), draws),
		),
		minorAreaGainOf: onceFor((kind) =>
			drawGains(seededRandom(seed, 'area gain', kind, material.name), ratesIn(kind), draws, 'minor'),
		),
		traceAreaGainOf: onceFor((kind) =>
			drawGains(seededRandom(seed, 'area gain', kind, material.name), ratesIn(kind), draws, 'trace'),
		),
		copperGainOf: onceFor((kind) =>
			drawCopperGain(seededRandom(seed, 'copper gain', kind, material.name), ratesIn(kind), draws),
		),
		measuredGainsOf: (kind) => measuredGains(ratesIn(kind)),
		sceneShiftOf: onceFor((kind) =>
			drawShift(seededRandom(seed, 'between scenes', kind, material.name), ratesIn(kind), draws),
		),
		locked: drawLocked(material, draws, random),
		overlap: {
			piled: uniforms(random, draws),
			order: uniforms(random, draws),
			merged: perClass(() => uniforms(random, draws)),
		},
		rims: normals(seededRandom(seed, 'rims', material.name), draws),
		massFactor: perClass(() => new Float64Array(draws).fill(1)),
		held: new Set(),
	};
}

function uniforms(random: Random, draws: number): Float64Array {
	return taken(draws, () => random.uniform());
}

function normals(random: Random, draws: number): PerClass {
	return perClass(() => Float64Array.from({ length: draws }, () => random.normal()));
}

/** A drawing that is done when a kind is first asked for; the same draws whenever it is asked for again. */
export function onceFor<Draws>(draw: (kind: DrawnKind) => Draws): (kind: DrawnKind) => Draws {
	const drawn = new Map<DrawnKind, Draws>();
	return (kind) => {
		const known = drawn.get(kind);
		if (known !== undefined) return known;
		const rates = draw(kind);
		drawn.set(kind, rates);
		return rates;
	};
}

/** Draws of `SharedErrors.locked`, for a material as a product's strips have it. */
export function drawLocked({ lockedCopperPerInsulation }: Material, draws: number, random: Random): Float64Array {
	if (lockedCopperPerInsulation === undefined) return taken(draws, () => lockedFactor(random));
	if (lockedCopperPerInsulation.u === 0) return new Float64Array(draws).fill(lockedCopperPerInsulation.value);
	return shareEstimate(lockedCopperPerInsulation, draws, random).draws;
}

/** Factor on the default locked copper: mean 1, from about 0.04 to 3.5 in 95 cases of 100 (gamma of shape 1.2). */
function lockedFactor(random: Random): number {
	const shape = 1.2;
	return random.gamma(shape) / shape;
}

function logNormal(random: Random, { value, u }: { readonly value: number; readonly u: number }): () => number {
	const sigma = Math.sqrt(Math.log(1 + (u / value) ** 2));
	const mu = Math.log(value) - sigma ** 2 / 2;
	return () => Math.exp(mu + sigma * random.normal());
}

/** A share between 0 and 1 with the given mean and standard uncertainty, or beside the end that it lies at; exactly known shares stay as they are. */
function betaShare(random: Random, { value, u }: { readonly value: number; readonly u: number }): () => number {
	const spread = value * (1 - value);
	if (u === 0) return () => value;
	if (spread <= 0) return () => Math.abs(value - Math.min(1, beyondEnd(u, random)));
	const concentration = Math.max(spread / u ** 2 - 1, 2);
	return () => {
		const yes = random.gamma(value * concentration);
		return yes / (yes + random.gamma((1 - value) * concentration));
	};
}

function measuredGains({ areaGain }: ErrorRates): Uint8Array | undefined {
	return areaGain && Uint8Array.of(0, ...areaGain.map((gain) => (gain === null ? 0 : 1)));
}

/** Areas that no table corrects stay as seen. */
const UNSEEN_GAIN: AreaGain = { logMean: 0, logSd: 0 };

function drawGains(random: Random, { areaGain }: ErrorRates, draws: number, part?: Part): PerClass {
	const gainOf = (c: number) => (areaGain === undefined ? UNSEEN_GAIN : (areaGain[c] ?? UNKNOWN_GAIN));
	return perClass((name) => drawGain(random, gainOf(MATERIAL_CLASSES.indexOf(name)), draws, part));
}

function drawCopperGain(random: Random, { copperGain }: ErrorRates, draws: number): CopperGain | undefined {
	if (copperGain === undefined) return undefined;
	const [much, little, trace] = ([undefined, 'minor', 'trace'] as const).map((part) =>
		drawGain(random, copperGain, draws, part),
	) as [Float64Array, Float64Array, Float64Array];
	return { much, little, trace };
}

/** What of a class's gain is drawn, where not that of much of it. */
type Part = 'minor' | 'trace';

/** Log-normal about the mean that the scatter of much gives; those of little and of next to nothing widen it and leave the mean. */
function drawGain(
	random: Random,
	{ logMean, logSd, logSdMinor = logSd, logSdTrace = logSdMinor, logMeanMinor }: AreaGain,
	draws: number,
	part?: Part,
): Float64Array {
	const sd = part === undefined ? logSd : { minor: logSdMinor, trace: logSdTrace }[part];
	const middle = part === 'minor' && logMeanMinor !== undefined ? logMeanMinor : logMean + (logSd ** 2 - sd ** 2) / 2;
	return taken(draws, () => Math.exp(middle + sd * random.normal()));
}

function drawShift(random: Random, { sceneScatter }: ErrorRates, draws: number): SceneShift | undefined {
	if (sceneScatter === undefined) return undefined;
	return {
		copper: taken(draws, () => (random.uniform() < UNSEEN_SHARE ? sceneScatter.copper * Math.abs(random.normal()) : 0)),
		aluminium: taken(draws, () => sceneScatter.aluminium * random.normal()),
	};
}

function drawRates(random: Random, { rate, logSd }: ErrorRates, draws: number): Float64Array {
	const n = ERROR_CLASSES;
	const rates = new Float64Array(draws * n * n);
	for (let i = 0; i < draws; i++) {
		for (let k = 0; k < n; k++) {
			const row = i * n * n + k * n;
			let wrong = 0;
			for (let j = 0; j < n; j++) {
				if (j === k) continue;
				const sigma = logSd[k]![j]!;
				// mean-preserving: the pooled rate is a mean over scenes, not their median
				const value = rate[k]![j]! * Math.exp(sigma * random.normal() - sigma ** 2 / 2);
				rates[row + j] = value;
				wrong += value;
			}
			const scale = wrong > 0.95 ? 0.95 / wrong : 1;
			for (let j = 0; j < n; j++) if (j !== k) rates[row + j] = rates[row + j]! * scale;
			rates[row + k] = 1 - wrong * scale;
		}
	}
	return rates;
}
