import { z } from 'zod';
import type { SurfaceRequest } from '@/lib/photo/locateSurface';

const share = z.number().min(0).max(1);

/** What a rendered picture's truth file says of it, as far as the accuracy measurement asks. */
export const trayTruthSchema = z.object({
	surface: z.string(),
	light: z.string(),
	product: z.string(),
	field_mm: z.tuple([z.number(), z.number()]),
	field_corners_px: z.array(z.tuple([z.number(), z.number()])).length(4),
	copper_plus_tinned_mass_fraction: share,
	locked_copper_mass_fraction: share,
	locked_copper_mass_g: z.number().min(0),
	mass_g_by_class: z.record(z.string(), z.number().min(0)),
	projected_area_fraction_by_class_of_particles: z.record(z.string(), share),
});
export type TrayTruth = z.infer<typeof trayTruthSchema>;

/** Where the pieces lie: a mat is found, a plain tray's corners are told. */
export function surfaceRequestFor(truth: TrayTruth): SurfaceRequest {
	if (truth.surface === 'mat') return { surface: 'mat' };
	return {
		surface: 'tray',
		corners: truth.field_corners_px.map(([x, y]) => ({ x, y })),
		fieldMm: { widthMm: truth.field_mm[0], heightMm: truth.field_mm[1] },
	};
}
