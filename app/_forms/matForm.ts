import { CHECK_LINE_MM, isUsualPrint, MAT_SIZES } from '@/lib/photo/matGeometry';
import { printNumber } from '@/lib/report/format';
import type { MatPrint } from '@/lib/store/settings';
import type { FieldReader } from './readFields';

/** What was measured of a print. Problems go to `fields`; the result must not be used while it has any. */
export function readMatForm(
	typed: Readonly<Record<string, string>>,
	fields: FieldReader,
): Omit<MatPrint, 'measuredOn'> {
	const size = fields.choice('size', MAT_SIZES, 'Choose the sheet that was printed');
	if (!fields.has('checkLineMm')) fields.problem('checkLineMm', 'Measure the check line and enter its length in mm');
	const checkLineMm = fields.number('checkLineMm', 'The check line', { least: 50, most: 200, unit: 'mm' });
	if (checkLineMm === undefined) return { size, checkLineMm: CHECK_LINE_MM }; // unused: there is a problem
	if (!isUsualPrint(checkLineMm) && typed.isOtherSize !== 'yes') {
		const off = printNumber(Math.abs(100 * (checkLineMm / CHECK_LINE_MM - 1)), 0);
		fields.problem(
			'isOtherSize',
			`A line of ${printNumber(checkLineMm, 1)} mm is ${off} % ${checkLineMm > CHECK_LINE_MM ? 'longer' : 'shorter'} than drawn: few printers are off by more than 10 %. Measure it again. If the whole sheet came out so, on other paper for example, tick the box.`,
		);
	}
	return { size, checkLineMm };
}
