import type { Metadata } from 'next';
import { cookies } from 'next/headers';
import { saveView } from '@/app/_actions/viewActions';
import { NUMBER_STYLES } from '@/app/_forms/numberStyles';
import { LOCALE_COOKIE, presentationOfRequest } from '@/app/_http/presentRequest';
import { ActionButton } from '@/app/_parts/ActionButton';
import { printDay, printExactMass, printMass, printShare } from '@/lib/report/format';
import { MASS_SYSTEMS, type MassSystem } from '@/lib/report/presentation';

export const metadata: Metadata = { title: 'Units and numbers' };

const SYSTEM_NAMES: Readonly<Record<MassSystem, string>> = {
	asEntered: 'As each mass was entered',
	metric: 'Kilograms and tonnes',
	us: 'Pounds and short tons',
};

/** How this device shows masses, numbers and days. */
export default async function Units({ searchParams }: PageProps<'/units'>) {
	const { massSystem } = await presentationOfRequest();
	const kept = (await cookies()).get(LOCALE_COOKIE)?.value ?? '';
	const saved = (await searchParams).saved !== undefined;
	return (
		<>
			<h1>Units and numbers</h1>
			{saved ? (
				<p className="note" role="status">
					Saved on this device. All pages follow.
				</p>
			) : null}
			<ActionButton
				action={saveView}
				className="button main"
				fields={
					<>
						<fieldset className="plain">
							<legend className="field-label">Masses</legend>
							{MASS_SYSTEMS.map((system) => (
								<label key={system} className="check">
									<input type="radio" name="masses" value={system} defaultChecked={system === massSystem} />
									<span>{SYSTEM_NAMES[system]}</span>
								</label>
							))}
						</fieldset>
						<fieldset className="plain">
							<legend className="field-label">Numbers and days</legend>
							{NUMBER_STYLES.map(({ value, label }) => (
								<label key={value} className="check">
									<input type="radio" name="numbers" value={value} defaultChecked={value === kept} />
									<span>{label}</span>
								</label>
							))}
						</fieldset>
					</>
				}
			>
				Save on this device
			</ActionButton>
			<section>
				<h2>What it looks like</h2>
				<dl className="figures">
					<dt>A share with its range</dt>
					<dd>{printShare({ value: 0.9612, low: 0.9503, high: 0.9736 })}</dd>
					<dt>A mass with its range</dt>
					<dd>{printMass({ value: 4.12, low: 4.1, high: 4.14 })}</dd>
					<dt>A lot</dt>
					<dd>{printExactMass(1240.5)}</dd>
					<dt>A day</dt>
					<dd>{printDay('2026-03-05')}</dd>
				</dl>
			</section>
			<p className="narrow soft">
				What was typed is kept as it was typed; only what is shown changes. Grams stay grams. Fields take a comma and a
				point alike, and each weight has its own unit beside it. Files that are saved, and the buyer&rsquo;s record as a
				file, keep kilograms and decimal points.
			</p>
		</>
	);
}
