import type { ComparedFigure } from '../balance/comparedFigures';
import type { Repeats } from '../balance/compareRepeats';
import type { Difference, RunComparison } from '../balance/compareRuns';
import { MOST_SPREADS } from '../balance/compareSettle';
import type { Estimate } from '../quantity/quantity';
import { printBounds, printEstimate, printPercent } from './format';

const MINUS = '\u2212';

const STREAM_WORDS: Readonly<Record<ComparedFigure['stream'], string>> = {
	concentrate: 'Concentrates',
	middlings: 'Middlings',
	tailings: 'Tailings',
	feed: 'Feed',
};

/** A compared figure's name in a table: `Concentrates: copper recovery`. */
export function comparedFigureName({ stream, figure, component }: ComparedFigure): string {
	const of = component === undefined ? '' : `${component} `;
	const words = {
		grade: `${of}grade`,
		yield: 'yield',
		efficiency: 'separation efficiency',
		recovery: stream === 'tailings' ? `${of}lost` : stream === 'middlings' ? `${of}held` : `${of}recovery`,
	};
	return `${STREAM_WORDS[stream]}: ${words[figure]}`;
}

/** A difference of shares in points: `+3.1 points (1.0 to 5.2)`; where a share is below detection `between −0.9 and +1.2 points`. */
export function printPoints(difference: Estimate): string {
	const { value, low, high } = pointsOf(difference);
	return difference.belowDetectionLimit ? `between ${low} and ${high} points` : `${value} points (${low} to ${high})`;
}

/** The same for two lines of a table's cell. */
export function pointsLines(difference: Estimate): readonly [first: string, second: string] {
	const { value, low, high } = pointsOf(difference);
	return difference.belowDetectionLimit ? ['between', `${low} and ${high}`] : [value, `${low} to ${high}`];
}

function pointsOf(difference: Estimate) {
	const { value, low, high } = {
		...printEstimate(difference, 100),
		...(difference.belowDetectionLimit ? printBounds(difference, 100) : {}),
	};
	return { value: signed(value), low, high: signed(high, low.startsWith(MINUS)) };
}

function signed(text: string, when = true): string {
	return when && !text.startsWith(MINUS) && /[1-9]/.test(text) ? `+${text}` : text;
}

/** How likely it is that the change is for the better, in words with its number. */
export function chanceOfImprovement({ probabilityBetter }: Difference): string {
	if (probabilityBetter === undefined) return '';
	if (probabilityBetter > 0.995) return `over ${printPercent(0.99)}`;
	if (probabilityBetter < 0.005) return `under ${printPercent(0.01)}`;
	return printPercent(probabilityBetter);
}

/**
 * What can be claimed of two runs, copper recovered first, then the concentrate's grade, then what was lost.
 *
 * Words come from the differences alone; what can't be told apart is said to be so.
 */
export function comparisonSentences({ base, other, differences, settle, unclosed }: RunComparison): readonly string[] {
	const find = (stream: string, figure: string) =>
		differences.find((d) => d.stream === stream && d.figure === figure && d.component === 'copper');
	const recovery = find('concentrate', 'recovery');
	const grade = find('concentrate', 'grade');
	const lost = find('tailings', 'recovery') ?? find('tailings', 'grade');
	const said = [
		...(unclosed.length > 0 ? [unclosedSentence(unclosed)] : []),
		...(unclosed.length > 0
			? []
			: recovery === undefined
				? [`Copper recovered by ${base} and ${other} can't be compared.`]
				: [claim(recovery, `${other} recovered`, ['more', 'less'], `copper than ${base}`, 'copper recovered')]),
		...(settle === undefined ? [] : [settleSentence(settle)]),
		...(grade === undefined
			? []
			: [
					claim(
						grade,
						`The concentrates of ${other} are`,
						['richer', 'poorer'],
						`in copper than those of ${base}`,
						"the concentrates' copper grade",
					),
				]),
		...(lost === undefined || unclosed.length > 0 ? [] : [lostClaim(lost, base, other)]),
	];
	const opposed = recovery?.isClear && grade?.isClear && recovery.difference.value * grade.difference.value < 0;
	return [
		...said,
		...(opposed
			? ['Recovery and grade moved against each other: what each is worth decides (see the money page).']
			: []),
		'This is about these runs. To claim it for a setting, run both settings again: only repeats show how much a run differs from itself.',
	];
}

/** Why nothing that rests on a balance is claimed. */
function unclosedSentence(names: readonly string[]): string {
	const whose = names.length === 1 ? `the balance of ${names[0]} is` : `the balances of ${names.join(' and ')} are`;
	return `What was recovered and lost can't be compared: ${whose} far from closing, so where the rest went is not known. See whether a bin is missing.`;
}

/** What would settle an open difference of copper recovered. */
function settleSentence(settle: NonNullable<RunComparison['settle']>): string {
	if (settle === 'never') {
		return (
			`If the difference stays as it is, not even ${MOST_SPREADS} more spreads of one bin from each run would settle it: ` +
			'see under Why this range? what else widens it.'
		);
	}
	const { spreads, product } = settle;
	return `If the difference stays as it is, ${countOf(spreads)} more ${spreads === 1 ? 'spread' : 'spreads'} of ${product} from each run would settle it.`;
}

/** What the tailings took of the copper; where only their grade is known, how rich they are. */
function lostClaim(lost: Difference, base: string, other: string): string {
	return lost.figure === 'grade'
		? claim(
				lost,
				`The tailings of ${other} are`,
				['richer', 'poorer'],
				`in copper than those of ${base}`,
				"the tailings' copper grade",
			)
		: claim(
				lost,
				`The tailings of ${other} took`,
				['more', 'less'],
				`of the copper than those of ${base}`,
				'copper lost to the tailings',
			);
}

const COUNTS = [
	'no',
	'one',
	'two',
	'three',
	'four',
	'five',
	'six',
	'seven',
	'eight',
	'nine',
	'ten',
	'eleven',
	'twelve',
];

function countOf(count: number): string {
	return COUNTS[count] ?? String(count);
}

function claim(
	{ difference, isClear }: Difference,
	who: string,
	[up, down]: readonly [string, string],
	what: string,
	figure: string,
): string {
	if (!isClear) return `These runs can't be told apart by ${figure}: ${printPoints(difference)}.`;
	return `${who} ${difference.value > 0 ? up : down} ${what}: ${printPoints(difference)}.`;
}

/** What several comparisons at once do to what is claimed of each; undefined for a single one. */
export function falseAlarmSentence(comparisons: number): string | undefined {
	if (comparisons < 2) return undefined;
	return (
		`Here are ${countOf(comparisons)} comparisons of several figures each. Where nothing differs, one figure in twenty looks different by chance: ` +
		'trust one that was expected, or that shows again.'
	);
}

/** Figures that only one of the runs has; undefined where there are none. */
export function notComparedSentence({ notCompared }: RunComparison): string | undefined {
	if (notCompared.length === 0) return undefined;
	return `Not compared, because only one of the runs has the figure: ${notCompared.map(comparedFigureName).join('; ')}. What both have is compared.`;
}

/** Setting against setting from repeated runs. */
export function repeatsSentence({ first, second, difference, low, high, lotsDiffer, notNoted }: Repeats): string {
	const printed = printPoints({ value: difference, low, high });
	const who = `${second.join(', ')} against ${first.join(', ')}`;
	const claimed =
		low > 0 || high < 0
			? `${who} recovered ${difference > 0 ? 'more' : 'less'} copper, ${printed}.`
			: `${who} can't be told apart by copper recovered, ${printed}.`;
	return [
		`Setting against setting, from repeated runs: ${claimed}`,
		...(lotsDiffer ? ['They were not fed from the same lots, so the difference holds that of the lots as well.'] : []),
		...(notNoted.length === 0
			? []
			: [`Not noted in every run, so it may have differed or not: ${notNoted.join(', ').toLowerCase()}.`]),
	].join(' ');
}
