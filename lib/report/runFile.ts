import { z } from 'zod';
import { weighingSchema } from '../balance/weighing';
import { toldOf } from '../errors/TrayError';
import { checkSchema, isOfSpread } from '../grade/checkEntry';
import { isTeaching } from '../grade/lesson';
import { COMPONENTS, PRODUCT_ROLES } from '../material/classes';
import { readMass } from '../quantity/units';
import { photoRequestSchema } from './photoFile';

const share = z.number().min(0).max(1);
const knownShare = z.strictObject({ value: share, u: z.number().positive().max(0.5) });

/** How the table was set; whatever was not noted is left out. */
export const tableSettingsSchema = z.strictObject({
	deckSlopeCrossDeg: z.number().min(-45).max(45).optional(),
	deckSlopeEndDeg: z.number().min(-45).max(45).optional(),
	strokeLengthMm: z.number().positive().max(200).optional(),
	strokesPerMin: z.number().positive().max(2000).optional(),
	washWaterLPerMin: z.number().min(0).max(10_000).optional(),
	feedRateKgPerH: z.number().positive().max(1e6).optional(),
	wettingAgent: z.string().max(120).optional(),
	wettingAgentDoseMlPerL: z.number().min(0).max(1000).optional(),
	filmOnDeck: z.boolean().optional(),
	/** The first run after a change, without washing the table through: carry-over may be in its bins. */
	firstAfterChange: z.boolean().optional(),
});

/** A mass with its unit, as typed. */
const massText = z.string().superRefine((text, context) => {
	try {
		if (readMass(text, 'The mass of the spread', 'g').massKg > 0) return;
		context.addIssue({ code: 'custom', message: 'The mass of the spread must be above zero.' });
	} catch (cause) {
		context.addIssue({ code: 'custom', message: toldOf(cause) });
	}
});

/** The most that one run holds: more than a day at the table gives, and few enough that all its readings are held in memory for its pages. */
export const MOST = { bins: 40, spreadsOfBin: 200, photosOfSpread: 50, checksOfBin: 200, photos: 300 } as const;

const productSchema = z
	.strictObject({
		name: z.string().trim().min(1).max(80),
		role: z.enum(PRODUCT_ROLES),
		/** Left out where the bin was not weighed. */
		weighing: weighingSchema.optional(),
		/** One photo a spread. */
		photos: z.array(photoRequestSchema).max(MOST.spreadsOfBin).optional(),
		/** Instead of `photos` where a spread was photographed several times. */
		spreads: z
			.array(
				z.strictObject({
					photos: z.array(photoRequestSchema).min(1).max(MOST.photosOfSpread),
					/** What was spread, dry, as weighed: `"12.4 g"`. */
					mass: massText.optional(),
				}),
			)
			.max(MOST.spreadsOfBin)
			.optional(),
		/** Checks by hand or by a laboratory; see lib/grade/checkEntry.ts. */
		checks: z.array(checkSchema).max(MOST.checksOfBin).optional(),
	})
	.refine(
		({ photos, spreads, checks = [] }) =>
			checks.every((check) => !isOfSpread(check) || check.spread <= (spreads ?? photos ?? []).length),
		{ message: 'A hand sort or a blank names a spread that the product does not have. The first spread is 1.' },
	)
	.refine(({ checks = [] }) => checks.every((check) => check.kind !== 'assay' || check.component === 'copper'), {
		message: 'Only a laboratory result for copper counts. Leave the others out.',
	})
	.refine(({ photos, spreads }) => photos === undefined || spreads === undefined, {
		message: 'Give the photos of a product either as "photos" or as "spreads", not both.',
	});

/**
 * A run as a file: what was fed, how the table was set, what each bin weighed, and the photos of its spreads.
 *
 * Photo paths are relative to the file. README.md shows an example.
 */
export const runFileSchema = z
	.strictObject({
		deckside: z.literal('run/1', {
			error: 'The file does not say "deckside": "run/1", so it is not a run file of this version.',
		}),
		name: z.string().trim().min(1).max(120),
		date: z.iso.date({ error: 'Write the date as 2026-05-31.' }).optional(),
		note: z.string().max(4000).optional(),
		/** Invented, as a demonstration's are: no run of a table. */
		demo: z.boolean().optional(),
		lot: z
			.strictObject({
				name: z.string().trim().min(1).max(120),
				source: z.string().max(200).optional(),
				/** What was done to the material before. */
				treatment: z.string().max(4000).optional(),
				note: z.string().max(4000).optional(),
				received: weighingSchema.optional(),
			})
			.optional(),
		settings: tableSettingsSchema.optional(),
		/** Name of a built-in material, or a material file relative to this one. */
		material: z.string().max(400).optional(),
		feed: z
			.strictObject({
				weighing: weighingSchema.optional(),
				/** Mass fractions of the dry feed known from elsewhere, with standard uncertainties. */
				grade: z.partialRecord(z.enum(COMPONENTS), knownShare).optional(),
			})
			.optional(),
		/** What is known to have been lost: spilt, washed away, kept as samples. */
		loss: z.strictObject({ weighing: weighingSchema }).optional(),
		/** Relative standard uncertainty of a named scale's own error, 0.002 for 0.2 %. */
		scales: z.record(z.string(), z.number().min(0).max(0.2)).optional(),
		/** Checks of other runs of the same material that count here as well. */
		lessons: z
			.array(
				z
					.strictObject({
						/** What was checked, in words: `spread 2 of Middlings, run 3`. */
						label: z.string().min(1).max(300),
						/** What kind of bin it was made on; stripped insulation counts for bins of its kind, without a kind for all. */
						role: z.enum(PRODUCT_ROLES).optional(),
						/** The photo of the spread that was sorted or was a blank. */
						photo: photoRequestSchema.optional(),
						check: checkSchema,
					})
					.refine(({ photo, check }) => !isOfSpread(check) || photo !== undefined, {
						message: 'A hand sort or a blank of another run needs the photo of its spread.',
					})
					.refine(({ check }) => isTeaching(check), {
						message: 'Only hand sorts, blanks and stripped insulation count for other runs.',
					}),
			)
			.max(100)
			.optional(),
		products: z.array(productSchema).min(1, { error: 'A run needs at least one product.' }).max(MOST.bins),
	})
	.refine(({ products }) => new Set(products.map(({ name }) => name.toLowerCase())).size === products.length, {
		message: 'Two products have the same name. Give each bin a name of its own.',
	});
export type RunFile = z.output<typeof runFileSchema>;
export type RunFileInput = z.input<typeof runFileSchema>;
