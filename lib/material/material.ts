import { z } from 'zod';
import { MATERIAL_CLASSES, perClass } from './classes';
import { isEllipsoid } from './ellipsoid';
import { taughtSpotSchema } from './taughtSpot';

const positiveQuantity = z.object({ value: z.number().positive(), u: z.number().nonnegative() }).readonly();
const share = z.object({ value: z.number().min(0).max(1), u: z.number().nonnegative() }).readonly();

/**
 * One kind of colour that a class shows, as an ellipsoid in light-corrected CIELAB (D65, 2 degree observer).
 *
 * `covariance` holds the upper triangle LL, La, Lb, aa, ab, bb.
 */
const colourPatchSchema = z
	.object({
		name: z.string().min(1).max(60),
		centre: z.object({
			L: z.number().min(-5).max(150),
			a: z.number().min(-150).max(150),
			b: z.number().min(-150).max(150),
		}),
		covariance: z
			.tuple([z.number(), z.number(), z.number(), z.number(), z.number(), z.number()])
			.refine(isEllipsoid, 'the covariance LL, La, Lb, aa, ab, bb is not that of an ellipsoid (not positive definite)'),
		/** How common this colour is within its class; equal shares where absent. */
		share: z.number().positive().max(1).optional(),
	})
	.readonly();
export type ColourPatch = z.infer<typeof colourPatchSchema>;

/**
 * How thick a lying piece is, from its width seen from above.
 *
 * Mean thickness (volume over projected area) is `factor` times the local width, but never more than `sheetThicknessMm`
 * where pieces of the class are cut from sheet.
 */
const shapeModelSchema = z
	.object({
		kind: z.enum(['wire', 'flake', 'granule']),
		/** Mean thickness over width; pi/4 for a lying round wire. */
		factor: positiveQuantity,
		sheetThicknessMm: positiveQuantity.optional(),
		source: z.string().min(1),
	})
	.readonly();

const classSchema = z
	.object({
		densityKgPerM3: positiveQuantity,
		/** Copper mass over the mass of such pieces, without what is locked inside insulation. */
		copperFraction: share,
		shape: shapeModelSchema,
		colours: z.array(colourPatchSchema).min(1, 'a class needs at least one colour'),
		source: z.string().min(1),
	})
	.readonly();
export type ClassModel = z.infer<typeof classSchema>;

function unknownClasses(names: readonly string[]): string {
	return `there is no class ${names.map((name) => `“${name}”`).join(', ')}; the classes are ${MATERIAL_CLASSES.join(', ')}`;
}

/**
 * A material: what photos of one kind of waste are read with. Every constant says where it is from.
 *
 * A material file is this object as JSON.
 */
export const materialSchema = z
	.object({
		name: z.string().min(1).max(80),
		note: z.string().max(2000).default(''),
		// strict, since a class of another name would be left out without a word
		classes: z.strictObject(
			perClass(() => classSchema),
			{ error: ({ code, keys }) => (code === 'unrecognized_keys' ? unknownClasses(keys as string[]) : undefined) },
		),
		/**
		 * Copper locked inside insulation, as a share of the mass of insulation pieces (cores included), from a hand check
		 * (weigh picks, strip them, weigh the copper). Absent: the wide default of lib/grade/lockedCopper.ts.
		 */
		lockedCopperPerInsulation: share.optional(),
		/** Finest strand whose metal matters, mm; photos with too few pixels across it are warned about. */
		finestStrandMm: z.number().positive().default(0.1),
		/** Largest Mahalanobis distance at which a pixel still counts as one of the colours; farther ones stay unjudged. */
		farthestDistance: z.number().positive().default(4),
		/** Spots taught on photos, from which the colours were made; and the material that they were taught on top of. */
		spots: z.array(taughtSpotSchema).max(2000).optional(),
		taughtFrom: z.string().min(1).max(80).optional(),
		/** Colours of the bare surface as taught, beside those found on each photo. */
		surfaceColours: z.array(colourPatchSchema).optional(),
		/** The pixel model's last layer fitted anew to the taught spots; good for the model of that checksum only. */
		lastLayer: z
			.object({ modelChecksum: z.string().min(1), weights: z.array(z.number()), bias: z.array(z.number()) })
			.optional(),
	})
	.readonly();
export type Material = z.infer<typeof materialSchema>;
