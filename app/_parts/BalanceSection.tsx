import type { RunAccount } from '@/lib/balance/runAccount';
import { COMPONENTS } from '@/lib/material/classes';
import { printSentence } from '@/lib/report/format';
import { CLOSURE_MEANING, RECOVERY_MEANING } from '@/lib/report/meanings';
import { checkWarnings } from '@/lib/report/runWarnings';
import {
	closureSentence,
	GRADED_NAMES,
	recoverySentence,
	suspicionSentence,
	testSentence,
} from '@/lib/report/sentences';
import type { WorkedRun } from '@/lib/store/analysis';
import type { RunFigures } from '@/lib/store/runFigures';
import type { RunBoard } from '@/lib/store/workedRun';
import { GradeTable, MassTable } from './BalanceTables';
import { FigureLine } from './FigureLine';
import { FiguresNote } from './FiguresNote';

/** The warning that names what is most suspicious itself. */
const DOES_NOT_CLOSE = 'balance-does-not-close';

/** The balance: closure and test in words, masses and grades measured and reconciled side by side, recoveries. */
export function BalanceSection({ board, figures }: { readonly board: RunBoard; readonly figures: RunFigures }) {
	const weighed = board.products.some(({ weighing }) => weighing !== undefined);
	if (!weighed) {
		return (
			<section>
				<h2>Balance</h2>
				<p>Weigh the products, and the feed if you can: then masses, grades and recoveries are balanced here.</p>
			</section>
		);
	}
	return (
		<section>
			<h2>Balance</h2>
			<FiguresNote figures={figures} />
			{figures.kind === 'none' ? null : <Balance worked={figures.worked} />}
		</section>
	);
}

function Balance({ worked }: { readonly worked: WorkedRun }) {
	const { account } = worked;
	const recovered = recoverySentence(account);
	const isGraded = account.products.some(({ massFraction }) => massFraction.reconciled.copper !== undefined);
	return (
		<>
			{recovered === undefined ? null : (
				<FigureLine
					name="Copper recovery"
					words={recovered}
					share={account.together.concentrate?.recovery.copper}
					meaning={RECOVERY_MEANING}
				/>
			)}
			<FigureLine name="Closure" words={closureSentence(account)} share={account.closure} meaning={CLOSURE_MEANING} />
			<p>{testSentence(account)}</p>
			{account.mostSuspicious === undefined || account.warnings.some(({ code }) => code === DOES_NOT_CLOSE) ? null : (
				<p>{suspicionSentence(account.mostSuspicious)}</p>
			)}
			{[...account.warnings, ...checkWarnings(worked)].map(({ code, message }) => (
				<div className="caution" key={code + message}>
					<p>{printSentence(message)}</p>
				</div>
			))}
			<MassTable account={account} />
			{isGraded ? (
				<GradeTables account={account} />
			) : (
				<p>Grades and recoveries follow once photos of a bin are read.</p>
			)}
		</>
	);
}

function GradeTables({ account }: { readonly account: RunAccount }) {
	return (
		<>
			<h3>Grades and recoveries</h3>
			<p className="hint narrow">
				Measured is what photos and checks say. Reconciled is the smallest change, within the uncertainties, that makes
				every part come out in the products as it went in with the feed. Recovery is the share of the feed&rsquo;s part
				that the product holds.
			</p>
			<GradeTable account={account} component="copper" name={GRADED_NAMES.copper} />
			{COMPONENTS.filter((component) => component !== 'copper').map((component) => (
				<details key={component}>
					<summary>{GRADED_NAMES[component]}: grades and recoveries</summary>
					<GradeTable account={account} component={component} name={GRADED_NAMES[component]} />
				</details>
			))}
		</>
	);
}
