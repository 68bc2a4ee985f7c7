import { z } from 'zod';
import { MATERIAL_CLASSES } from './classes';

/** What a spot can be said to be: the bare surface, or one of the material's classes. */
export const TAUGHT_CLASSES = ['background', ...MATERIAL_CLASSES] as const;
export type TaughtClass = (typeof TAUGHT_CLASSES)[number];

/** Most colours and most feature vectors that one spot keeps: enough for its centre and scatter. */
export const MOST_COLOURS = 64;
export const MOST_FEATURES = 16;
/** Most feature vectors of what lies about a spot: with a dozen spots some hundred, a sample of the field. */
export const MOST_BESIDE = 8;

/**
 * A spot on a photo that the user tapped or brushed and said what it is; kept with the photo it came from, so that it can be
 * looked up and undone.
 */
export const taughtSpotSchema = z
	.object({
		/** Unique within the material. */
		id: z.string().min(1).max(80),
		/** The photo's identifier. */
		photo: z.string().min(1).max(200),
		class: z.enum(TAUGHT_CLASSES),
		/** Circle on the upright photo, pixels; radius 0 stands for a lesson from the whole field. */
		xPx: z.number().nonnegative(),
		yPx: z.number().nonnegative(),
		radiusPx: z.number().nonnegative(),
		note: z.string().max(200).optional(),
		/** Light-corrected CIELAB (D65) of pixels in the spot: L, a, b. */
		colours: z
			.array(z.tuple([z.number().min(-5).max(150), z.number().min(-200).max(200), z.number().min(-200).max(200)]))
			.min(1)
			.max(MOST_COLOURS),
		/** Inputs of the pixel model's last layer at pixels of the spot; absent without the model. */
		features: z.array(z.array(z.number())).max(MOST_FEATURES).optional(),
		/** The same at pixels about the spot, of which nothing was said. */
		beside: z.array(z.array(z.number())).max(MOST_BESIDE).optional(),
	})
	.readonly();
export type TaughtSpot = z.infer<typeof taughtSpotSchema>;
export type LabColour = TaughtSpot['colours'][number];
