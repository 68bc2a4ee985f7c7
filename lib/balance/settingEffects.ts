import { covarianceOf } from '../quantity/moments';
import type { Quantity } from '../quantity/quantity';
import { fewestRuns } from './factorialPlan';
import { type Coefficient, regressionOf } from './settingRegression';

/** One run as the effects of settings see it: what came out, and the settings that were noted, by name. */
export interface SettledRun {
	readonly name: string;
	/** Missing where it is not known, only its limit of detection is, or it rests on a balance that is far from closing. */
	readonly outcome?: Quantity | undefined;
	readonly settings: Readonly<Record<string, number>>;
	/** The first run after a change, without washing the table through. */
	readonly firstAfterChange?: boolean | undefined;
	/** Name of the material its photos were read with: runs of one share its errors. */
	readonly material?: string | undefined;
}

/** What one setting did to the outcome, per unit of the setting. */
export interface SettingEffect {
	readonly setting: string;
	readonly perUnit: Coefficient;
	/** Largest share of this setting's variation that the other settings explain (0 alone, 1 not separable). */
	readonly overlap: number;
}

/** Effects of settings over several runs. */
export interface SettingEffects {
	readonly effects: readonly SettingEffect[];
	readonly runs: number;
	readonly degreesOfFreedom: number;
	/** What can't be told and why, in plain sentences. */
	readonly warnings: readonly string[];
}

/** Above this share of common variation two settings are called changed together (variance inflation of 5). */
const MUCH_OVERLAP = 0.8;

/**
 * Effects of settings on an outcome (recovery, grade) over several runs, by regression; a run that is known less well than most
 * counts for less, and ranges come from how far the runs scatter.
 *
 * Runs of which it is not known what came out are left out and named. Settings that were not noted for every run, never changed, or only changed together with another one are left out and
 * named: nothing can be told about them.
 *
 * @source variance inflation: Belsley, Kuh and Welsch, Regression Diagnostics (1980), 5 as a common limit (from memory)
 */
export function settingEffectsOf(given: readonly SettledRun[]): SettingEffects {
	const runs = given.flatMap(({ outcome, ...run }) => (outcome === undefined ? [] : [{ ...run, outcome }]));
	const found = effectsOf(runs);
	const unknown = given.filter(({ outcome }) => outcome === undefined).map(({ name }) => name);
	if (unknown.length === 0) return found;
	const told = `Left out, since what came out is not known yet, is below detection or rests on a balance that is far from closing: ${unknown.join(', ')}.`;
	return { ...found, warnings: [told, ...found.warnings] };
}

/** A run of which it is known what came out. */
type KnownRun = SettledRun & { readonly outcome: Quantity };

function effectsOf(runs: readonly KnownRun[]): SettingEffects {
	if (runs.length < 2) {
		const known = runs.length === 0 ? 'none of these runs' : 'only one of these runs';
		return none(runs.length, [
			`What came out is known of ${known}, so no effect can be told. Read photos and weigh bins.`,
		]);
	}
	const warnings: string[] = [];
	const carriedOver = runs.filter(({ firstAfterChange }) => firstAfterChange === true).map(({ name }) => name);
	if (carriedOver.length > 0) {
		warnings.push(
			`First after a change and not washed through, so that what was left from before is in their bins: ${carriedOver.join(', ')}. ` +
				'They count, and part of an effect may be carry-over.',
		);
	}
	const materials = [...new Set(runs.map(({ material }) => material))];
	if (materials.length > 1) {
		warnings.push(
			`Photos of these runs were read with different materials (${materials.map((name) => name ?? 'one without a name').join(', ')}). ` +
				'An error of one material moves its runs alone, so part of an effect may be that. Set runs of one material against each other.',
		);
	}
	const names = [...new Set(runs.flatMap(({ settings }) => Object.keys(settings)))];
	const noted = names.filter((name) => runs.every(({ settings }) => settings[name] !== undefined));
	const columnOf = (name: string) => runs.map(({ settings }) => settings[name] ?? Number.NaN);
	const partly = names.filter((name) => !noted.includes(name));
	if (partly.length > 0) warnings.push(`Not noted in every run, so left out: ${partly.join(', ')}.`);
	const changed = noted.filter((name) => new Set(columnOf(name)).size > 1);
	const kept: string[] = [];
	for (const name of changed) {
		const twin = kept.find((other) => correlation(columnOf(name), columnOf(other)) ** 2 > 1 - 1e-9);
		if (twin === undefined) kept.push(name);
		else
			warnings.push(`${name} only ever changed together with ${twin}: what each did can't be told. Change one alone.`);
	}
	if (changed.length === 0) {
		return none(runs.length, [...warnings, 'No setting was changed between these runs, so there is no effect to see.']);
	}
	const need = fewestRuns(kept.length);
	if (runs.length < need) {
		const more = `${runs.length} runs are too few for ${kept.length} changed ${kept.length === 1 ? 'setting' : 'settings'}. At least ${need} are needed; repeats count.`;
		return none(runs.length, [...warnings, more]);
	}
	return fitted(runs, kept, columnOf, warnings);
}

function fitted(
	runs: readonly KnownRun[],
	kept: readonly string[],
	columnOf: (name: string) => number[],
	warnings: string[],
): SettingEffects {
	const u = runs.map(({ outcome }) => outcome.u);
	const y = runs.map(({ outcome }) => outcome.value);
	const isWeighted = u.every((one) => one > 0);
	try {
		const fit = regressionOf(kept.map(columnOf), y, isWeighted ? u : undefined);
		const effects = kept.map((setting, k): SettingEffect => {
			const others = kept.filter((name) => name !== setting).map(columnOf);
			const overlap = others.length === 0 ? 0 : regressionOf(others, columnOf(setting)).rSquared;
			return { setting, perUnit: fit.slopes[k]!, overlap };
		});
		const mixed = effects.filter(({ overlap }) => overlap > MUCH_OVERLAP).map(({ setting }) => setting);
		if (mixed.length > 1) {
			warnings.push(`${mixed.join(' and ')} were mostly changed together: their effects are hard to separate.`);
		}
		return { effects, runs: runs.length, degreesOfFreedom: fit.degreesOfFreedom, warnings };
	} catch (cause) {
		if (!(cause instanceof RangeError)) throw cause;
		const told =
			'The settings were changed in step with each other, so no effect can be told apart. Use a plan of runs.';
		return none(runs.length, [...warnings, told]);
	}
}

function none(runs: number, warnings: readonly string[]): SettingEffects {
	return { effects: [], runs, degreesOfFreedom: 0, warnings };
}

function correlation(a: readonly number[], b: readonly number[]): number {
	return covarianceOf(a, b) / Math.sqrt(covarianceOf(a, a) * covarianceOf(b, b));
}
