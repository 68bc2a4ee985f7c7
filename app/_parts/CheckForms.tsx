import { randomUUID } from 'node:crypto';
import type { ReactNode } from 'react';
import { saveCheck } from '@/app/_actions/checkActions';
import { spreadFieldOf } from '@/app/_forms/checkForm';
import { MATERIAL_CLASSES } from '@/lib/material/classes';
import { CHECK_NAMES } from '@/lib/report/checkSentences';
import { noGradeReason, type UnreadPhotos } from '@/lib/report/progressSentences';
import { CLASS_NAMES } from '@/lib/report/sentences';
import { EntryForm } from './EntryForm';
import { CheckField, NumberField, SelectField, TextField } from './Fields';

/** One form for each kind of check. */
export function CheckForms({
	productId,
	spreads,
	unread,
}: {
	readonly productId: string;
	/** Spreads of which a photo has been read. */
	readonly spreads: readonly { readonly id: string; readonly number: number }[];
	readonly unread: UnreadPhotos;
}) {
	return (
		<>
			<OneCheck kind="handSort" productId={productId}>
				<p>
					Pick one photographed spread apart by class, dry, and weigh each pile. From three sorted spreads on, the grade
					no longer rests on the pictures alone. Leave a pile empty if it was not weighed; write 0 if there was nothing.
					With copper or insulation not weighed a sort tells masses per area, but no grade.
				</p>
				<WhichSpread kind="handSort" spreads={spreads} unread={unread} />
				<div className="pair">
					{MATERIAL_CLASSES.map((name) => (
						<NumberField key={name} name={`pile-${name}`} label={CLASS_NAMES[name]} unit="g" />
					))}
				</div>
			</OneCheck>
			<OneCheck kind="blank" productId={productId}>
				<p>
					Pick a spread of this waste clean of all metal, cores too, photograph it like the others, and name it here. It
					shows how often insulation is taken for metal under your lamp and camera, and no longer counts in the grade.
				</p>
				<WhichSpread kind="blank" spreads={spreads} unread={unread} />
				<CheckField name="isClean" label="This spread was picked clean of all metal" isAskedFor />
			</OneCheck>
			<OneCheck kind="moisture" productId={productId}>
				<p>
					Weigh a sub-sample of the bin wet, dry it until its weight stays, and weigh it again. It takes the place of
					the moisture in the bin&rsquo;s weighing. Dry below 100 &deg;C and with air: plastic must not smell or soften.
				</p>
				<div className="pair">
					<NumberField name="subWet" label="Weight wet" unit="g" />
					<NumberField name="subDry" label="Weight dry" unit="g" />
				</div>
			</OneCheck>
			<OneCheck kind="strip" productId={productId}>
				<p>
					Take insulation pieces as they come, fifty or more, without looking for cores: few hold one, so their number
					rules. Weigh them, strip or cut out all copper, weigh the copper. Cut away from the hand. It counts for bins
					of this kind alone: the table parts pieces with a core from those without.
				</p>
				<div className="pair">
					<NumberField name="picks" label="Pieces taken" />
					<NumberField name="before" label="Weight before stripping" unit="g" />
					<NumberField name="copper" label="Copper found" hint="0 if there was none." unit="g" />
				</div>
			</OneCheck>
			<OneCheck kind="displacement" productId={productId}>
				<p>
					Put a dry, weighed sample into water with a drop of dish liquid, stir, tap and wait until no bubbles rise;
					hold down what floats. One millilitre of air in 100 g turns 97 % copper into 95 %. Good for rich products,
					useless for lean ones.
				</p>
				<div className="pair">
					<NumberField name="dry" label="Dry weight" unit="g" />
					<NumberField
						name="displacedMl"
						label="Water pushed up"
						hint="Or leave empty and give the weight in water."
						unit="mL"
					/>
					<NumberField name="stepMl" label="Step of the jug" hint="Left empty, 1 mL." unit="mL" />
					<NumberField name="suspended" label="Weight hung in water" hint="Instead of the volume." unit="g" />
					<NumberField name="waterC" label="Water temperature" hint="Left empty, 20 °C." unit="°C" />
				</div>
			</OneCheck>
			<OneCheck kind="magnet" productId={productId}>
				<p>
					Drag a magnet in a plastic bag through a spread sample and weigh what sticks. It bounds the steel from above;
					copper, tin, aluminium and brass do not stick.
				</p>
				<div className="pair">
					<NumberField name="sample" label="Weight of the sample" unit="g" />
					<NumberField name="pulled" label="Weight pulled out" unit="g" />
				</div>
			</OneCheck>
			<OneCheck kind="assay" productId={productId}>
				<p>A result of a laboratory or of a test melt for copper in the dry product.</p>
				<div className="pair">
					<NumberField name="share" label="Copper" unit="%" />
					<NumberField
						name="u"
						label="Its standard uncertainty"
						hint="Sampling included. Half of a stated 95 % range either side."
						unit="%"
					/>
				</div>
				<TextField name="laboratory" label="Which laboratory (optional)" />
			</OneCheck>
		</>
	);
}

function WhichSpread({
	kind,
	spreads,
	unread,
}: {
	readonly kind: 'handSort' | 'blank';
	readonly spreads: readonly { readonly id: string; readonly number: number }[];
	readonly unread: UnreadPhotos;
}) {
	if (spreads.length === 0) return <p>No spread to choose yet: {noGradeReason(unread)}</p>;
	return (
		<SelectField
			name={spreadFieldOf(kind)}
			label="Which spread"
			initial=""
			options={[
				{ value: '', label: 'Choose one' },
				...spreads.map(({ id, number }) => ({ value: id, label: `Spread ${number}` })),
			]}
		/>
	);
}

function OneCheck({
	kind,
	productId,
	children,
}: {
	readonly kind: keyof typeof CHECK_NAMES;
	readonly productId: string;
	readonly children: ReactNode;
}) {
	return (
		<details>
			<summary>{CHECK_NAMES[kind]}</summary>
			<EntryForm action={saveCheck} submit="Save check">
				<input type="hidden" name="id" value={randomUUID()} />
				<input type="hidden" name="productId" value={productId} />
				<input type="hidden" name="kind" value={kind} />
				{children}
			</EntryForm>
		</details>
	);
}
