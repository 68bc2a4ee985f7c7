import { isFarFromClosing } from '@/lib/balance/closure';
import type { RunAccount } from '@/lib/balance/runAccount';
import type { SettledRun } from '@/lib/balance/settingEffects';
import { standardUncertaintyOf } from '@/lib/quantity/standardUncertainty';
import type { RunFile } from '@/lib/report/runFile';
import { KNOBS } from './runForm';

/** Outcomes that the effect of settings is asked for. */
export const OUTCOMES = ['recovery', 'grade'] as const;
export type Outcome = (typeof OUTCOMES)[number];

/**
 * A run with its outcome and noted settings, by the words of the form; without an outcome where it is not known, or only its limit of detection
 * is, or it rests on a balance that is far from closing.
 */
export function settledRunOf(
	name: string,
	settings: NonNullable<RunFile['settings']>,
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
	const noted = KNOBS.flatMap(({ field, label }) => {
		const value = settings[field];
		return value === undefined ? [] : [[label, value] as const];
	});
	const dose = settings.wettingAgentDoseMlPerL;
	return {
		name,
		...(isKnown ? { outcome: { value: estimate.value, u: standardUncertaintyOf(estimate) } } : {}),
		firstAfterChange: settings.firstAfterChange,
		material,
		settings: {
			...Object.fromEntries(noted),
			...(dose === undefined ? {} : { 'Dose of wetting agent': dose }),
			...(settings.filmOnDeck === undefined ? {} : { 'Film on the deck': settings.filmOnDeck ? 1 : 0 }),
		},
	};
}

/** The unit that an effect is per: `degrees`, `mm`. */
export function settingUnit(label: string): string {
	return KNOBS.find((knob) => knob.label === label)?.unit ?? (label.startsWith('Dose') ? 'mL per L' : 'film');
}
