import type { Metadata } from 'next';
import Link from 'next/link';
import { Fragment } from 'react';
import { saveMatCheck } from '@/app/_actions/setUpActions';
import { EntryForm } from '@/app/_parts/EntryForm';
import { CheckField, NumberField, SelectField } from '@/app/_parts/Fields';
import { MatDrawing } from '@/app/_parts/MatDrawing';
import { MAT_SIZES, matGeometry } from '@/lib/photo/matGeometry';
import { printDay, printNumber, printWithUnit } from '@/lib/report/format';
import { getMatPrints } from '@/lib/store/settings';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Mat' };

const SIZE_NAMES = { A5: 'A5', A4: 'A4', Letter: 'US Letter' } as const;

/** Print the spread mat and put on record what the printer made of it. */
export default async function MatPage() {
	const { store } = await theStore();
	const prints = Object.values(await getMatPrints(store));
	return (
		<>
			<h1>Spread mat</h1>
			<p className="lead">
				The mat lies under the sample. Its corner marks tell shape and length, its grey patches tell the light, and the
				sample goes inside the frame.
			</p>
			<MatDrawing geometry={matGeometry('A5')} />
			<section>
				<h2>1. Print it</h2>
				<p className="narrow">
					Print at actual size, 100 %, without fitting to the page, on plain white paper. Laminate it matt or slip it
					under clear film only if the film does not shine.
				</p>
				<div className="actions">
					{MAT_SIZES.map((size, i) => (
						<a key={size} className={i === 0 ? 'button main' : 'button'} href={`/mat/${size}`}>
							{SIZE_NAMES[size]} sheet (PDF)
						</a>
					))}
				</div>
				<p className="hint">
					{MAT_SIZES.map((size) => {
						const { field } = matGeometry(size);
						return `${SIZE_NAMES[size]}: field ${printNumber(field.width, 0)} by ${printWithUnit(field.height, 'mm', 0)}.`;
					}).join(' ')}
				</p>
			</section>
			<p>
				<Link href="/help/mat">Print and check the mat, with a drawing</Link>
			</p>
			<section>
				<h2>2. Check the print</h2>
				<p className="narrow">
					Measure the check line between the two upper marks with a steel rule. It is drawn 100 mm long; enter what your
					printer made of it.
				</p>
				<dl className="figures">
					{MAT_SIZES.map((size) => {
						const print = prints.find((one) => one.size === size);
						return (
							<Fragment key={size}>
								<dt>{SIZE_NAMES[size]} sheet</dt>
								<dd>
									{print === undefined
										? 'not checked yet: lengths are taken as drawn'
										: `line ${printWithUnit(print.checkLineMm, 'mm')}, measured ${printDay(print.measuredOn)}`}
								</dd>
							</Fragment>
						);
					})}
				</dl>
				<EntryForm action={saveMatCheck} submit="Save the check">
					<SelectField
						name="size"
						label="Sheet"
						initial="A5"
						options={MAT_SIZES.map((value) => ({ value, label: SIZE_NAMES[value] }))}
					/>
					<NumberField name="checkLineMm" label="Check line as measured" unit="mm" initial="" />
					<CheckField name="isOtherSize" label="The whole sheet came out that much larger or smaller" isAskedFor />
				</EntryForm>
				<p className="hint narrow">
					Photos of a mat of this size that are taken in from now on count with this length; each size is printed on its
					own, so each is checked on its own. Shares hardly change with it; widths and areas in millimetres do.
				</p>
			</section>
		</>
	);
}
