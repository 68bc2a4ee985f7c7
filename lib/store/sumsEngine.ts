import { perName } from '../quantity/perName';
import { FLOWS, flowDiagramOf } from '../report/flowDiagram';
import { gradeRecoveryPlotOf } from '../report/gradeRecoveryPlot';
import { comparedRunsOf } from '../value/comparedRuns';
import { equalValueRecoveryOf, worthPerKgCopperOf } from '../value/equalValue';
import { ratesOf } from '../value/marginModel';
import type { PriceSheet } from '../value/priceSheet';
import { type RunValue, valueOfRun } from '../value/runValue';
import type { AccountOrder, ComparedRuns, RecordPrint, RunFlows, RunToCompare } from './analysis';
import { balanced } from './engine';

/** Sums that go on from a run's draws. The draws stay where they are made: each takes a tenth of a second and megabytes. */

/** What a run is worth at these prices. */
export async function valueRun(order: AccountOrder, sheet: PriceSheet): Promise<RunValue> {
	return valueOfRun(balanced(order), sheet);
}

/** A run's flow from feed to bins, of all that can be shown. */
export async function flowsOf(order: AccountOrder): Promise<RunFlows> {
	const { account, draws } = balanced(order);
	return perName(FLOWS, (flow) => flowDiagramOf(account, draws, flow));
}

/** Runs set against the first one. */
export async function compareRuns(
	given: readonly RunToCompare[],
	sheet: PriceSheet | undefined,
): Promise<ComparedRuns> {
	const runs = given.map(({ order, about }) => {
		const { account, draws } = balanced(order);
		return { ...about, account, draws };
	});
	const rates = sheet?.metals.copper === undefined ? undefined : ratesOf(sheet);
	const plot = gradeRecoveryPlotOf(
		runs,
		rates && ((at, grade) => equalValueRecoveryOf(at.recovery * worthPerKgCopperOf(at.grade, rates), grade, rates)),
	);
	return { runs: runs.map(({ draws: _, ...run }) => run), compared: comparedRunsOf(runs, sheet), plot };
}

/** A record on paper. The renderer is loaded where it is first used: threads that read photos go without. */
export async function printRecord({ sheet, pictures, paper, dated }: RecordPrint): Promise<Uint8Array> {
	const { recordPdf } = await import('../report/recordPdf');
	return recordPdf(sheet, pictures, paper, dated);
}
