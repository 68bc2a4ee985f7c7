import { z } from 'zod';
import { type WeighingInput, weighingSchema } from '../balance/weighing';
import { weighingFaultOf } from '../balance/weighingFault';
import { toldOf } from '../errors/TrayError';
import { COMPONENTS, PRODUCT_ROLES } from '../material/classes';
import { printedScaleSchema } from '../report/printedScaleSchema';
import { tableSettingsSchema } from '../report/runFile';

export { tableSettingsSchema };
export type TableSettings = z.infer<typeof tableSettingsSchema>;

/** What is kept in JSON columns, in the units of lib; forms and files are turned into these at the edge. */

const share = z.number().min(0).max(1);
/**
 * A weighing as typed, in its own unit, so that it is shown again as it was put in; lib/balance reads it into kilograms and
 * refuses what cannot be.
 */
export const typedWeighingSchema = z
	.custom<WeighingInput>((given) => weighingSchema.safeParse(given).success, 'This is not a weighing.')
	.superRefine((given, context) => {
		const fault = weighingFaultOf(weighingSchema.parse(given));
		if (fault !== undefined) context.addIssue({ code: 'custom', message: toldOf(fault.error), path: [...fault.path] });
	});
export type TypedWeighing = WeighingInput;

/** What was put on the table, and what left it without being caught in a bin. */
export const feedSchema = z
	.object({
		weighing: typedWeighingSchema.optional(),
		/** Mass fractions of the dry feed as known from elsewhere; u is one standard uncertainty. */
		grade: z
			.partialRecord(z.enum(COMPONENTS), z.object({ value: share, u: z.number().positive().max(0.5) }))
			.optional(),
		/** Dry mass known to be lost (spilt, floated off, kept as samples). */
		loss: typedWeighingSchema.optional(),
		/** Relative standard uncertainty of a named scale's own error. */
		scales: z.record(z.string(), z.number().min(0).max(0.2)).optional(),
	})
	.readonly();
export type Feed = z.infer<typeof feedSchema>;

const point = z.number().min(-1000).max(100_000);

/** How one photo is to be read. Corners are pixels of the upright photo, clockwise from the field's top-left. */
export const readingChoiceSchema = z
	.object({
		surface: z.enum(['auto', 'mat', 'tray']).default('auto'),
		corners: z.tuple([point, point, point, point, point, point, point, point]).optional(),
		fieldWidthMm: z.number().min(20).max(2000).optional(),
		fieldHeightMm: z.number().min(20).max(2000).optional(),
		method: z.enum(['auto', 'threshold', 'model']).default('auto'),
		/** Another material than the run's, by name. */
		material: z.string().max(80).optional(),
		/** What its mat was printed at where the run was taken in from a file; else the last check here of the size it shows counts. */
		printedScale: printedScaleSchema.optional(),
	})
	.readonly();
export type ReadingChoice = z.infer<typeof readingChoiceSchema>;

export const productRoleSchema = z.enum(PRODUCT_ROLES);

/** The name, role and order of a product that a new run starts with. */
export const DEFAULT_PRODUCTS = [
	{ name: 'Concentrate 1', role: 'concentrate' },
	{ name: 'Concentrate 2', role: 'concentrate' },
	{ name: 'Middlings', role: 'middlings' },
	{ name: 'Tailings', role: 'tailings' },
] as const;
