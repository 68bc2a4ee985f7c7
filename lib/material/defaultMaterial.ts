import { DEFAULT_COLOURS } from './defaultColours';
import type { ClassModel, Material } from './material';

/** Lying round wire: volume pi d^2 L / 4 over shadow d L. */
const SOLID_WIRE = Math.PI / 4;
/** Seven round strands side by side in a ring of three strand diameters fill 7/9 of the outline circle. */
const STRANDED_WIRE = (7 / 9) * SOLID_WIRE;

/** Ball: volume pi d^3 / 6 over shadow pi d^2 / 4. */
const BALL = 2 / 3;

/**
 * Bare copper comes as solid wire, single strands and bundles of strands that read as one broad wire: the factor lies
 * between solid and stranded, evenly.
 */
const wireFactor = { value: (SOLID_WIRE + STRANDED_WIRE) / 2, u: (SOLID_WIRE - STRANDED_WIRE) / Math.sqrt(12) };

const brightCopper: Omit<ClassModel, 'colours'> = {
	densityKgPerM3: { value: 8930, u: 20 },
	copperFraction: { value: 0.999, u: 0.0005 },
	shape: {
		kind: 'wire',
		factor: wireFactor,
		source:
			'between a lying round wire (pi/4 of the width) and seven strands side by side (7/9 of that), evenly: geometry, worked out here',
	},
	source:
		'density between the handbooks (8960: Bolz and Tuve 1973) and electrical copper (8890: IEC 60028, from memory); purity of electrical copper 99.9 % (EN 13601, from memory)',
};

const tinnedCopper: Omit<ClassModel, 'colours'> = {
	densityKgPerM3: { value: 8890, u: 30 },
	copperFraction: { value: 0.98, u: 0.007 },
	shape: {
		kind: 'wire',
		factor: wireFactor,
		source:
			'as bright copper: flexible cords hold it as bunched strands, single strands come loose: geometry, worked out here',
	},
	source:
		'tin layer 1 to 10 um (ASTM B33 practice, from memory) on strands of 0.2 to 0.5 mm: 1 to 3 % of the mass is tin or less; density of copper with that share of tin (7290)',
};

const aluminium: Omit<ClassModel, 'colours'> = {
	densityKgPerM3: { value: 2700, u: 10 },
	copperFraction: { value: 0, u: 0.002 },
	shape: {
		kind: 'flake',
		factor: { value: SOLID_WIRE, u: 0.05 },
		sheetThicknessMm: { value: 0.15, u: 0.06 },
		source:
			'wire: pi/4 of the width; sheet: cable tapes, screens and sheaths of some 0.05 to 0.3 mm, wide on purpose (common practice, no source)',
	},
	source: 'density 2700 in all handbooks looked at (Bolz and Tuve 1973)',
};

const insulation: Omit<ClassModel, 'colours'> = {
	densityKgPerM3: { value: 1300, u: 100 },
	copperFraction: { value: 0, u: 0 },
	shape: {
		kind: 'granule',
		factor: { value: 0.46, u: 0.07 },
		source:
			'sleeves pi/4 (1 - (di/do)^2) of the width, 0.37 to 0.59, mean 0.48, for house wiring of 1.5 to 25 mm2 (IEC 60228 and 60227-3, from memory); split sleeves half a ring over its chord, somewhat spread (0.27); sheath chips 1 to 1.8 mm thick (IEC 60227-4, from memory) and some 3 mm wide, 0.45; lumps between ball and lying box, 0.65; in equal parts, common practice without a source',
	},
	source:
		"PVC cable compound 1200 to 1500, polyethylene 910 to 950, rubber 1100 to 1600 kg/m3 (cable makers' tables after VDE; Bolz and Tuve 1973); mostly PVC",
};

const other: Omit<ClassModel, 'colours'> = {
	densityKgPerM3: { value: 5000, u: 1500 },
	copperFraction: { value: 0, u: 0.05 },
	shape: {
		kind: 'granule',
		factor: { value: (BALL + (2 / 3) * BALL) / 2, u: 0.13 },
		source:
			'grains lie on their flat side: from balls, 2/3 of the width, to ellipsoids 2/3 as thick as wide (where Zingg, 1935, parts flat pebbles from round ones; from memory), evenly; wide on purpose, for chips and nails',
	},
	source:
		'anything from grit (quartz 2650, from memory) to steel (7860: Bolz and Tuve 1973), even between them; brass counts as part copper',
};

/**
 * The material that photos are read with until the user has taught one: chopped cable waste of mixed make.
 *
 * Thicknesses and densities are physics and handbooks; each class says where its figures are from. Its widths are wide:
 * a hand-sort check narrows them.
 */
export const DEFAULT_MATERIAL: Material = {
	name: 'Mixed cable waste',
	note: 'Starting values for chopped cable of mixed make. Teach your own colours and check by hand sorting.',
	classes: {
		brightCopper: { ...brightCopper, colours: [...DEFAULT_COLOURS.brightCopper] },
		tinnedCopper: { ...tinnedCopper, colours: [...DEFAULT_COLOURS.tinnedCopper] },
		aluminium: { ...aluminium, colours: [...DEFAULT_COLOURS.aluminium] },
		insulation: { ...insulation, colours: [...DEFAULT_COLOURS.insulation] },
		other: { ...other, colours: [...DEFAULT_COLOURS.other] },
	},
	finestStrandMm: 0.1,
	farthestDistance: 4,
};
