import { z } from 'zod';
import { printedScaleSchema } from './printedScaleSchema';

const number = z.number().finite();
const CORNERS = 'Corners are four [x, y] pairs or eight numbers, clockwise from the top-left.';
const flat = z.array(number).length(8, { error: CORNERS });
const pairs = z.array(z.tuple([number, number])).length(4);

/** Corners as four [x, y] pairs or as eight numbers, pixels of the upright photo, clockwise from the field's top-left. */
const corners = z.union([pairs, flat], { error: CORNERS }).transform((given) => {
	const numbers = given.flat();
	return [0, 2, 4, 6].map((at) => ({ x: numbers[at]!, y: numbers[at + 1]! }));
});

/** Inner size of the field as [width, height] or "WxH", millimetres. */
const fieldMm = z
	.union(
		[z.tuple([number.positive(), number.positive()]), z.string().regex(/^\s*\d+(\.\d+)?\s*x\s*\d+(\.\d+)?\s*$/i)],
		{
			error: 'The field size is [width, height] or "WxH" in millimetres, for example "200x140".',
		},
	)
	.transform((given) => {
		const [width, height] = typeof given === 'string' ? given.split(/x/i).map(Number) : given;
		return { widthMm: width!, heightMm: height! };
	});

/** One photo of a spread and how its surface is to be found. A bare text is the photo's path with nothing else said. */
export const photoRequestSchema = z.union(
	[
		z
			.string()
			.min(1)
			.transform((photo) => ({
				photo,
				surface: 'auto' as const,
				corners: undefined,
				fieldMm: undefined,
				method: undefined,
				material: undefined,
				sha256: undefined,
				setAside: undefined,
				printedScale: undefined,
			})),
		z.strictObject({
			photo: z.string().min(1),
			surface: z.enum(['auto', 'mat', 'tray']).default('auto'),
			corners: corners.optional(),
			fieldMm: fieldMm.optional(),
			/** How its pixels are told apart; as the whole command or run is read where left out. */
			method: z.enum(['auto', 'threshold', 'model']).optional(),
			/** Another material than the run's, by name or as a material file. */
			material: z.string().min(1).max(400).optional(),
			/** Checksum of the photo's bytes, so that a saved run finds its photos again. */
			sha256: z
				.string()
				.regex(/^[0-9a-f]{64}$/, 'A checksum is 64 digits 0 to 9 and a to f.')
				.optional(),
			/** It was taken again, and does not count. */
			setAside: z.boolean().optional(),
			printedScale: printedScaleSchema.optional(),
		}),
	],
	{
		error:
			'A photo is a path, or { "photo", "surface", "corners", "fieldMm", "method", "material", "sha256", "setAside", "printedScale" }.',
	},
);
export type PhotoRequest = z.output<typeof photoRequestSchema>;

/** A list of photos, all spreads of one product. */
export const photoListSchema = z.array(photoRequestSchema).min(1, { error: 'The list of photos is empty.' });

/** Corners as the command line takes them: eight numbers with commas. */
export const cornersTextSchema = z.preprocess(
	(text) =>
		typeof text === 'string'
			? text
					.split(/[\s,;]+/)
					.filter(Boolean)
					.map(Number)
			: text,
	corners,
);

/** A field size as the command line takes it: WxH in millimetres. */
export const fieldTextSchema = fieldMm;
