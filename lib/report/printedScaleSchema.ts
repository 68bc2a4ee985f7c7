import { z } from 'zod';
import { MAT_SIZES } from '../photo/matGeometry';

const scale = z.number().min(0.5).max(2);

/**
 * What the mat's check line measures over what it should: 0.98 where it was printed at 98 %. One number for the mat that a photo shows, or one for
 * each sheet size that was measured; the photo tells which it shows.
 */
export const printedScaleSchema = z.union([scale, z.partialRecord(z.enum(MAT_SIZES), scale)], {
	error: 'The printed scale of the mat is a number from 0.5 to 2, or one by sheet size, for example { "A5": 0.98 }.',
});
