import { askedPlan } from '@/app/_forms/askedPlan';
import { KNOBS } from '@/app/_forms/runForm';
import { settingUnit } from '@/app/_forms/settledRun';
import type { FactorialPlan } from '@/lib/balance/factorialPlan';
import { TrayError } from '@/lib/errors/TrayError';
import { printPlain } from '@/lib/report/format';
import { planSentences } from '@/lib/report/planSentences';

/**
 * A plan of runs from the command's words: `deckSlopeCrossDeg=4:6`.
 *
 * @throws TrayError `usage` when a word can't be read or no plan can be made
 */
export function planOf(
	words: readonly string[],
	{ half, seed, times }: { readonly half: boolean; readonly seed: string; readonly times: string },
): FactorialPlan {
	const asked = new URLSearchParams({ seed, times, ...(half ? { half: 'yes' } : {}) });
	const known = KNOBS.map(({ field }) => field);
	for (const word of words) {
		const [, setting, low, high] = /^(\w+)=([^:]+):(.+)$/.exec(word) ?? [];
		if (setting === undefined || low === undefined || high === undefined) {
			throw new TrayError('usage', `--plan can't read ${word}.`, 'Write each setting as deckSlopeCrossDeg=4:6.');
		}
		const which = `Settings that can be planned: ${known.join(', ')}.`;
		if (!known.some((field) => field === setting))
			throw new TrayError('usage', `${setting} is no setting with two levels.`, which);
		if (asked.has(`${setting}Low`)) throw new TrayError('usage', `${setting} is named twice.`, 'Name it once.');
		asked.set(`${setting}Low`, low);
		asked.set(`${setting}High`, high);
	}
	return askedPlan(asked);
}

/** What the command prints of a plan when no JSON is asked for. */
export function planText(plan: FactorialPlan): string {
	const { settings, runs, seed } = plan;
	const line = (cells: readonly string[]) =>
		`  ${cells.map((cell, k) => cell.padEnd(k === 0 ? 6 : 28)).join('')}`.trimEnd();
	return [
		`${runs.length} runs in this order, seed ${seed}`,
		line(['Run', ...settings.map(({ name }) => `${name}, ${settingUnit(name)}`)]),
		...runs.map(({ order, high }) =>
			line([String(order), ...settings.map((setting, k) => printPlain(high[k] ? setting.high : setting.low))]),
		),
		...planSentences(plan).map((sentence) => `  ! ${sentence}`),
	].join('\n');
}
