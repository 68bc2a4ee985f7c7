import type { Cause } from '../balance/budget';
import type { Explained, ExplainedProduct } from '../balance/explainRun';
import type { WorkedOutRun } from '../balance/gradedRun';
import type { Action } from '../balance/trialCheck';
import type { CheckedGrade, EstimateOrigin, ImpossibleDensity } from '../grade/applyChecks';
import type { Check } from '../grade/checkEntry';
import { FEWEST_PIECES, type IdlePile } from '../grade/idlePile';
import { contradictionOf, type LearnedClass } from '../grade/learnMassPerArea';
import type { PartialSort } from '../grade/partialSort';
import { spreadsNeeded } from '../grade/samplingPlan';
import { COVERAGE_FACTOR } from '../quantity/coverageFactor';
import { slopeRangeOf } from '../quantity/lineFit';
import type { Estimate } from '../quantity/quantity';
import { printEstimate, printNumber, printPercent, printShare, printUpperLimit } from './format';
import { CLASS_NAMES, lowerFirst, printProbability } from './sentences';

/** Causes of uncertainty as written on screens. */
export const CAUSE_NAMES: Readonly<Record<Cause, string>> = {
	sampling: 'Which pieces were scooped up',
	confusion: 'One class taken for another',
	rims: 'Breadth of fine pieces',
	thickness: 'Thickness of the pieces',
	density: 'Density and copper content',
	locked: 'Copper locked in insulation',
	overlap: 'Pieces hidden under others',
	unjudged: 'Area not decided',
	checks: 'Checks, and what they differ by',
	weights: 'Weights and moisture',
};

/** What each cause is and what shrinks it. */
export const CAUSE_NOTES: Readonly<Record<Cause, string>> = {
	sampling: 'A spread holds a few hundred pieces of the bin. More and larger spreads shrink it.',
	confusion: 'Rates of wrong calls as measured on pictures with known truth. A hand sort or a blank shrinks it.',
	rims: 'Nobody knows where within a pixel a rim lies, and strands are few pixels across. More pixels to the millimetre or a hand sort shrink it.',
	thickness: 'A photo sees areas; mass goes with thickness. A hand sort measures it.',
	density: 'Of the plastics above all. A hand sort measures it together with the thickness.',
	locked:
		'A photo hardly sees it. Strip insulation pieces and weigh the copper: fifty where many hold a core, hundreds where few do.',
	overlap: 'Spread thinner: a fifth of the field covered is plenty.',
	unjudged: 'Shine, shade and odd colours. Better light shrinks it.',
	checks: 'How far they and the photos lie apart counts too. A second check of the same bin shrinks it.',
	weights: 'A finer scale or a dried sub-sample shrinks it.',
};

/** What to do next, as written on screens. */
export const ACTION_NAMES: Readonly<Record<Action, string>> = {
	spread: 'One more spread',
	handSort: 'Sort one photographed spread by hand and weigh the piles',
	strip: 'Strip fifty insulation pieces and weigh the copper',
	blank: 'Photograph a blank: a spread of insulation picked clean of metal',
	weigh: 'Weigh on a scale with half the step',
	moisture: 'Dry and weigh a sub-sample',
};

/** Ways to know the copper, as written on screens. */
export const ORIGIN_NAMES: Readonly<Record<EstimateOrigin, string>> = {
	photos: 'Photos',
	differences: 'Photos, put right by weighed spreads',
	displacement: 'Water displacement',
	assay: 'Laboratory',
};

/** Kinds of checks, as written on screens. */
export const CHECK_NAMES: Readonly<Record<Check['kind'], string>> = {
	handSort: 'Hand sort',
	blank: 'Blank',
	strip: 'Stripped insulation',
	displacement: 'Water displacement',
	magnet: 'Magnet',
	moisture: 'Dried sub-sample',
	assay: 'Laboratory result',
};

/** `Best next, on Middlings: one more spread. It would make it about 41 % (36 to 47), 0.7 times as wide as now.` */
export function nextSentence({ next }: Explained): string {
	const [best] = next;
	if (best === undefined) return 'Nothing listed here would narrow this range.';
	return `Best next, on ${best.product}: ${lowerFirst(ACTION_NAMES[best.action])}. The range would be about ${printNumber(best.widthRatio, 2)} times as wide as now: ${printShare(best.expected)} if the value stays.`;
}

/** What the range of a single spread takes for granted. */
export const BY_ONE_SPREAD = "One spread can't tell how much spreads differ: the range takes the bin for well mixed.";

/** The same, and what would tell. */
export const ONE_SPREAD = `${BY_ONE_SPREAD} Make a second spread, from another place.`;

/** The sampling of a product in words: what counting gives beside what was seen. */
export function samplingSentence({ sampling }: ExplainedProduct): string {
	const counted = `Counting pieces alone, one spread of about ${printGrams(sampling.spreadMassG)} g can tell the free copper to ± ${printPoints(1.96 * sampling.fundamentalU)}.`;
	if (sampling.seenU === undefined) return `${counted} ${ONE_SPREAD}`;
	const seen = `The ${sampling.gradePerSpread.length} spreads differ by a standard deviation of ${printPoints(sampling.seenU)}`;
	return sampling.isScattered
		? `${counted} ${seen}, more than counting explains: mix better or take more scoops from more places.`
		: `${counted} ${seen}, no more than counting explains.`;
}

/** How many spreads for a range of so many points either side. */
export function neededSentence(halfWidth: number, { perSpreadU, otherU }: ExplainedProduct): string {
	const needed = spreadsNeeded(halfWidth, perSpreadU, otherU);
	return needed === undefined
		? `± ${printPoints(halfWidth)} or closer: out of reach by spreading alone; the other causes leave ± ${printPoints(COVERAGE_FACTOR * otherU)}.`
		: `± ${printPoints(halfWidth)}: ${needed} ${needed === 1 ? 'spread' : 'spreads'} like these.`;
}

/** The same for several widths, narrowest first; those that spreading can't reach are told once, by the widest of them. */
export function neededSentences(halfWidths: readonly number[], product: ExplainedProduct): readonly string[] {
	const { perSpreadU, otherU } = product;
	const isReached = (halfWidth: number) => spreadsNeeded(halfWidth, perSpreadU, otherU) !== undefined;
	const widestBeyond = halfWidths.findLast((halfWidth) => !isReached(halfWidth));
	return halfWidths
		.filter((halfWidth) => halfWidth === widestBeyond || isReached(halfWidth))
		.map((halfWidth) => neededSentence(halfWidth, product));
}

/** Whether the estimates agree, with the size of a disagreement. */
export function agreementSentence({ estimates, combined }: Omit<CheckedGrade, 'draws'>): string {
	if (combined.probability === undefined) return 'There is one estimate so far; a check of another kind would test it.';
	const farthest = [...estimates].sort((a, b) => (b.deviations ?? 0) - (a.deviations ?? 0))[0]!;
	const size = `${ORIGIN_NAMES[farthest.origin]}: ${printNumber(farthest.deviations ?? 0, 1)} standard deviations from the rest`;
	return isDisagreement({ combined })
		? `The estimates disagree: ${lowerFirst(size)} (by chance alone: ${printProbability(combined.probability)}). All were widened alike until they agree; find out which is wrong.`
		: `The estimates agree within their ranges (${lowerFirst(size)}).`;
}

/** True where a product's estimates lie farther apart than chance explains one time in twenty. */
export function isDisagreement({ combined: { probability } }: Pick<CheckedGrade, 'combined'>): boolean {
	return probability !== undefined && probability < 0.05;
}

/**
 * The copper that a product's checks and photos come to together: `With its checks: copper 34 % (6 to 71).`
 *
 * @returns undefined where no check tells copper
 */
export function checkedCopperSentence(found: Pick<CheckedGrade, 'estimates' | 'combined'>): string | undefined {
	if (found.estimates.every(({ origin }) => origin === 'photos')) return undefined;
	return `With its checks: copper ${printShare(found.combined)}.`;
}

/** Estimates that disagree, with what they come to together; undefined where they agree or no check tells copper. */
export function disagreementSentence(found: Omit<CheckedGrade, 'draws'>): string | undefined {
	const told = checkedCopperSentence(found);
	return told === undefined || !isDisagreement(found) ? undefined : `${told} ${agreementSentence(found)}`;
}

/** `By photos alone: copper 41 % (20 to 60). The estimates agree within their ranges (…).` */
export function agreementWithPhotos(found: Omit<CheckedGrade, 'draws'>): string {
	const photos = found.estimates.find(({ origin }) => origin === 'photos');
	const alone =
		photos === undefined || found.estimates.length === 1 ? '' : `By photos alone: copper ${printShare(photos)}. `;
	return `${alone}${agreementSentence(found)}`;
}

/** A water displacement that no mixture of the material's parts can give. */
export function impossibleSentence({ densityKgPerM3, isTooDense, isAlone }: ImpossibleDensity): string {
	const density = `A water displacement comes to ${printNumber(densityKgPerM3 / 1000, 1)} kg per litre`;
	const counts = isAlone
		? 'There is nothing else to go by, so the nearest that can be stands; do not rely on it.'
		: 'It does not count beside the other estimates.';
	return isTooDense
		? `${density}, denser than copper. That cannot be. ${counts} Check the weights and the volume.`
		: `${density}, lighter than the insulation. Air was trapped or pieces floated. ${counts} Add a drop of dish liquid, stir, hold down what floats, and measure again.`;
}

/** What a magnet check says. */
export function magnetSentence({ magnetic }: Omit<CheckedGrade, 'draws'>): string | undefined {
	if (magnetic === undefined) return undefined;
	const most = `Steel is at most ${printUpperLimit(magnetic.atMost.high, 100, 2)}\u00a0%: that is what was pulled out, with what hung on it, and what a sample of that size can miss by chance.`;
	const { otherByPhotos } = magnetic;
	if (otherByPhotos === undefined) return most;
	return `${most} The photos call ${printShare(otherByPhotos)} other; what is above the magnet's share is no steel.`;
}

/** What a photo hardly sees, apart from what it does. */
export function lockedSentence(share: Estimate): string {
	return `Of the dry product, ${printShare(share)} is copper locked in insulation; it is counted in copper, not in free copper.`;
}

/** `Insulation: 1.12 (1.05 to 1.20) times the starting mass per area; known to 4 % instead of 17 %.` */
export function learnedSentence({ name, factor, relativeU, gramsPerMm2 }: LearnedClass): string {
	return `${CLASS_NAMES[name]}: ${printNumber(1000 * gramsPerMm2, 2)} mg per mm², ${ratio(factor)} times the starting value; known to ${printPercent(relativeU.after)} instead of ${printPercent(relativeU.before)}.`;
}

/** The hand sort that contradicts the others, where one does. */
export function contradictionSentence({ piles }: WorkedOutRun['sorting']): string | undefined {
	const found = contradictionOf(piles);
	if (found === undefined) return undefined;
	const { label, name, weighedG, expectedG, standardDeviations } = found;
	return `The pile “${CLASS_NAMES[name]}” of ${label} weighs ${printNumber(weighedG, 2)} g where ${printNumber(expectedG, 2)} g were expected: ${printNumber(Math.abs(standardDeviations), 1)} standard deviations. Check the weight, and that the spread photographed is the spread sorted. Until it is put right or removed, it moves the grades of every product of this material.`;
}

/** `The pile “Aluminium” of spread 1 of Middlings (0.42 g) says nothing about mass per area: its picture shows …` */
export function idleSentence({ label, name, weighedG, why }: IdlePile): string {
	return `The pile “${CLASS_NAMES[name]}” of ${label} (${printGrams(weighedG)} g) says nothing about mass per area: ${IDLE_WORDS[why]}.`;
}

/** `The sort of spread 1 of Middlings leaves out the pile “Insulation”: it tells masses per area, but no grade. …` */
export function partialSentence({ label, unweighed }: Omit<PartialSort, 'check'>): string {
	const piles = unweighed.map((name) => `“${CLASS_NAMES[name]}”`).join(' and ');
	const [noun, them] = unweighed.length === 1 ? ['pile', 'it'] : ['piles', 'them'];
	return `The sort of ${label} leaves out the ${noun} ${piles}: it tells masses per area, but no grade. Weigh ${them} too, or write 0 if there was nothing, and enter the sort again.`;
}

const IDLE_WORDS: Readonly<Record<IdlePile['why'], string>> = {
	fewPieces: `its picture shows fewer than ${FEWEST_PIECES} pieces of it`,
	coarseWeighing: 'it is weighed to no better than a third of itself',
	falseCalls: 'its picture shows no more of it than mistaken calls of other pieces could make',
};

/** A ratio with its range: `1.12 (1.05 to 1.20)`. */
function ratio(factor: Estimate): string {
	const { value, low, high } = printEstimate(factor);
	return `${value} (${low} to ${high})`;
}

/** A difference of shares in percentage points, two digits or so of it: `16 points`, `1.8 points`, `0.45 points`. */
export function printPoints(share: number): string {
	return `${printBarePoints(share)} points`;
}

/** The same for a column whose head says that it holds points. */
export function printBarePoints(share: number): string {
	const points = 100 * share;
	return points < 0.005
		? `under ${printNumber(0.01, 2)}`
		: printNumber(points, points < 0.995 ? 2 : points < 9.95 ? 1 : 0);
}

/** A cause's share of the variance: `37 %`; what rounds to nothing is not called nothing. */
export function printVarianceShare(share: number): string {
	return share < 0.005 ? `under ${printPercent(0.01)}` : printPercent(share);
}

/** Grams to spread, as a scale for small things shows them: `0.25`, `5.1`, `640`. */
export function printGrams(massG: number): string {
	return printNumber(massG, massG < 0.995 ? 2 : massG < 9.95 ? 1 : 0);
}

/** How pictures stand to weighed piles over all sorted spreads; undefined where too few tell. */
export function pictureLineSentence({ points, line }: WorkedOutRun['sorting']): string | undefined {
	if (points.length === 0) return undefined;
	if (line === undefined) {
		return `${points.length} sorted ${points.length === 1 ? 'spread' : 'spreads'}; a line of pictures against piles takes five of different grades.`;
	}
	const { chiSquare, degreesOfFreedom } = line;
	const scatter =
		chiSquare > 2 * degreesOfFreedom
			? ' The spreads scatter about the line more than weighing and pieces explain.'
			: '';
	return `Pictures read ${ratio(slopeRangeOf(line))} points of copper for each point weighed.${scatter}`;
}
