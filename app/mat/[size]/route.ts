import { answerErrors } from '@/app/_http/answerErrors';
import { TrayError } from '@/lib/errors/TrayError';
import { MAT_SIZES } from '@/lib/photo/matGeometry';
import { matSheetPdf } from '@/lib/report/matSheet';

/** The spread mat as a PDF at true size: /mat/A5, /mat/A4, /mat/Letter. */
export const GET = answerErrors(async (_request: Request, context: RouteContext<'/mat/[size]'>) => {
	const { size } = await context.params;
	const known = MAT_SIZES.find((one) => one === size);
	if (known === undefined) throw new TrayError('not-found', 'There is no such sheet.', 'Choose A5, A4 or Letter.');
	const pdf = await matSheetPdf(known);
	return new Response(Buffer.from(pdf), {
		headers: {
			'content-type': 'application/pdf',
			'content-disposition': `inline; filename="spread-mat-${known}.pdf"`,
		},
	});
});
