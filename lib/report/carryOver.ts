import type { BalanceWarning } from '../balance/balanceWarning';
import type { RunAccount } from '../balance/runAccount';
import type { RunFile } from './runFile';

/**
 * What the first run after a change must tell its reader, when the table was not washed through before it.
 *
 * @source common practice, no source: what lay in riffles, launders and bins leaves with the next run
 */
export function carryOverWarning(settings: RunFile['settings']): BalanceWarning | undefined {
	if (settings?.firstAfterChange !== true) return undefined;
	return {
		code: 'carry-over',
		message:
			'This is the first run after a change and the table was not washed through: what was left in riffles, launders and ' +
			'bins from before is in these figures. Run again before comparing it.',
	};
}

/** An account with that warning among its own and at each of its products, so that no figure travels without it. */
export function withCarryOver(
	account: RunAccount,
	settings: RunFile['settings'],
): Omit<RunAccount, 'products'> & {
	readonly products: readonly (RunAccount['products'][number] & { readonly carryOver?: string })[];
} {
	const warning = carryOverWarning(settings);
	if (warning === undefined) return account;
	return {
		...account,
		warnings: [warning, ...account.warnings],
		products: account.products.map((product) => ({ ...product, carryOver: warning.message })),
	};
}
