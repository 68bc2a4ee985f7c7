import { isFarFromClosing } from '@/lib/balance/closure';
import type { RunAccount } from '@/lib/balance/runAccount';
import type { SettledRun } from '@/lib/balance/settingEffects';
import { standardUncertaintyOf } from '@/lib/quantity/standardUncertainty';
import type { RunFile } from '@/lib/report/runFile';
import { KNOBS } from './runForm';

/** Outcomes that the effect of settings is asked for. */
export const OUTCOMES = ['recovery', 'grade'] as const;
export type Outcome = (typeof OUTCOMES)[number];

type Settings = NonNullable<RunFile['settings']>;

/** A setting as effects see it: a number, with the words and the unit for it. */
interface Counted {
	readonly label: string;
	readonly unit: string;
	readonly of: (settings: Settings) => number | undefined;
}

/** How much wetting agent was in the water. */
export const WETTING_DOSE: Counted = {
	label: 'Dose of wetting agent',
	unit: 'mL per L',
	of: ({ wettingAgentDoseMlPerL }) => wettingAgentDoseMlPerL,
};

/** Whether there was a film on the deck; its effect is that of one against none. */
export const DECK_FILM: Counted = {
	label: 'Film on the deck',
	unit: 'film',
	of: ({ filmOnDeck }) => (filmOnDeck === undefined ? undefined : Number(filmOnDeck)),
};

const COUNTED: readonly Counted[] = [
	...KNOBS.map(({ field, label, unit }) => ({ label, unit, of: (settings: Settings) => settings[field] })),
	WETTING_DOSE,
	DECK_FILM,
];

/**
 * A run with its outcome and noted settings, by the words of the form; without an outcome where it is not known, or only its limit of detection
 * is, or it rests on a balance that is far from closing.
 */
export function settledRunOf(
	name: string,
	settings: Settings,
	account: Pick<RunAccount, 'together' | 'probability'>,
	outcome: Outcome,
	material: string | undefined,
): SettledRun {
	const group = account.together.concentrate;
	const estimate = outcome === 'recovery' ? group?.recovery.copper : group?.massFraction.copper;
	const isKnown =
		estimate !== undefined &&
		estimate.belowDetectionLimit !== true &&
		!(outcome === 'recovery' && isFarFromClosing(account));
	return {
		name,
		...(isKnown ? { outcome: { value: estimate.value, u: standardUncertaintyOf(estimate) } } : {}),
		firstAfterChange: settings.firstAfterChange,
		material,
		settings: Object.fromEntries(
			COUNTED.flatMap(({ label, of }) => {
				const value = of(settings);
				return value === undefined ? [] : [[label, value]];
			}),
		),
	};
}

/**
 * The unit that an effect is per: `degrees`, `mm`.
 *
 * @throws RangeError where no setting is called so
 */
export function settingUnit(label: string): string {
	const found = COUNTED.find((one) => one.label === label);
	if (found === undefined) throw new RangeError(`no setting is called "${label}"`);
	return found.unit;
}

/** What an effect is for, in words: `per degrees`, `per minute`. @throws RangeError where no setting is called so */
export function perUnitOf(label: string): string {
	return `per ${settingUnit(label).replace(/^per /, '')}`;
}
