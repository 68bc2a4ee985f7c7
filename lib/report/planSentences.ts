import { type FactorialPlan, fewestRuns } from '../balance/factorialPlan';
import { printPlain } from './format';

/** What a plan's runs can tell and what they can't, in words. */
export function planSentences({ settings, runs, clearFrom, warning }: FactorialPlan): readonly string[] {
	return [...(warning === undefined ? [] : [warning]), clearSentence(settings.length, runs.length, clearFrom)];
}

function clearSentence(settings: number, runs: number, clearFrom: number | undefined): string {
	if (clearFrom === undefined) {
		return (
			`${runs} runs can't tell what ${settings === 1 ? 'one setting' : `${settings} settings`} did: at least ${fewestRuns(settings)} are ` +
			'needed, so that some show how much a run differs from itself. Run each combination twice or more.'
		);
	}
	return (
		`If runs at the same settings differ by 1 point (standard deviation), this plan shows an effect of ${printPlain(clearFrom, 1)} points about ` +
		'one time in two, a smaller one less often. More repeats show smaller effects.'
	);
}
