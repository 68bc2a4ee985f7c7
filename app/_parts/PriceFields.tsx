import { PENALTIES, PRODUCT_CHARGES, SOLD_CHOICES, WASTE_AMOUNTS } from '@/app/_forms/priceForm';
import { MASS_UNITS } from '@/lib/quantity/units';
import { TON_NAMES } from '@/lib/report/moneySentences';
import { PRICED_METALS, type PricedMetal } from '@/lib/value/priceSheet';
import { NumberField, SelectField, TextField } from './Fields';

type Typed = Readonly<Record<string, string>>;

const MASS_OPTIONS = MASS_UNITS.filter((unit) => unit !== 'g' && unit !== 'oz').map((value) => ({
	value,
	label: TON_NAMES[value],
}));

/** Prices, charges and costs as a buyer's offer and a shed's bills name them. */
export function PriceFields({ initial }: { readonly initial: Typed }) {
	const from = (name: string) => initial[name] ?? '';
	return (
		<>
			{PRICED_METALS.map((metal) => (
				<MetalFields key={metal} metal={metal} initial={initial} />
			))}
			<fieldset>
				<legend>Charges on what is sold</legend>
				<div className="pair">
					<SelectField
						name="sold"
						label="What is sold"
						initial={from('sold')}
						options={SOLD_CHOICES.map((value) => ({ value, label: value }))}
					/>
					<TextField
						name="chargesCurrency"
						label="Currency of charges and costs"
						hint="The same as the metal's: currencies are not converted."
						initial={from('chargesCurrency')}
					/>
					<SelectField name="productPer" label="Charges are per" initial={from('productPer')} options={MASS_OPTIONS} />
					{PRODUCT_CHARGES.map(({ field, label }) => (
						<NumberField key={field} name={field} label={`${label} (optional)`} initial={from(field)} />
					))}
				</div>
				<details open={PENALTIES.some(({ component }) => from(`${component}Penalty`) !== '')}>
					<summary>Penalties</summary>
					<div className="pair">
						{PENALTIES.flatMap(({ component, label }) => [
							<NumberField
								key={`${component}Penalty`}
								name={`${component}Penalty`}
								label={`Penalty for each point of ${label}`}
								initial={from(`${component}Penalty`)}
							/>,
							<NumberField
								key={`${component}Free`}
								name={`${component}Free`}
								label={`Above this share of ${label}`}
								unit="%"
								initial={from(`${component}Free`)}
							/>,
						])}
					</div>
				</details>
			</fieldset>
			<fieldset>
				<legend>Costs of running the waste</legend>
				<p className="hint">For each ton of dry waste fed, as you reckon them. Leave empty what does not apply.</p>
				<div className="pair">
					<SelectField name="wastePer" label="Costs are per" initial={from('wastePer')} options={MASS_OPTIONS} />
					{WASTE_AMOUNTS.map(({ field, label }) => (
						<NumberField key={field} name={field} label={label} initial={from(field)} />
					))}
				</div>
			</fieldset>
			<fieldset>
				<legend>Payback and results</legend>
				<div className="pair">
					<NumberField name="investment" label="Investment (optional)" initial={from('investment')} />
					<NumberField
						name="yearly"
						label="Waste fed in a year"
						hint="In tonnes where costs are per tonne, and so on."
						initial={from('yearly')}
					/>
					<NumberField
						name="mayVaryBy"
						label="How far entered amounts may vary"
						hint="For the sensitivities: each amount is moved down and up by this."
						unit="%"
						initial={from('mayVaryBy')}
					/>
					<SelectField
						name="perTon"
						label="Results are per"
						initial={from('perTon')}
						options={[
							{ value: 't', label: 'tonne of 1000 kg' },
							{ value: 'shortTon', label: 'short ton of 2000 lb' },
						]}
					/>
				</div>
			</fieldset>
		</>
	);
}

function MetalFields({ metal, initial }: { readonly metal: PricedMetal; readonly initial: Typed }) {
	const at = (name: string) => `${metal}${name}`;
	const from = (name: string) => initial[at(name)] ?? '';
	const name = metal === 'copper' ? 'Copper' : 'Aluminium';
	return (
		<fieldset>
			<legend>{metal === 'copper' ? 'Copper price' : 'Aluminium price (only if the buyer pays for it)'}</legend>
			<div className="pair">
				<NumberField name={at('Price')} label={`${name} price`} initial={from('Price')} />
				<SelectField name={at('Per')} label="Per" initial={from('Per')} options={MASS_OPTIONS} />
				<TextField name={at('Currency')} label="Currency" hint="Three letters." initial={from('Currency')} />
				<TextField name={at('Date')} label="Day of the price" type="date" initial={from('Date')} />
				<TextField name={at('Note')} label="Where the price is from" initial={from('Note')} longest={200} />
				<NumberField
					name={at('Payable')}
					label="Payable share"
					hint="What part of the price the buyer pays."
					unit="%"
					initial={from('Payable')}
				/>
				<NumberField
					name={at('Deduction')}
					label="Deduction from the grade (optional)"
					unit="points"
					initial={from('Deduction')}
				/>
			</div>
		</fieldset>
	);
}
