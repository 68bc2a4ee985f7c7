import { COMPONENTS } from '../material/classes';
import { errorAlong } from './adjuster';
import type { Conserved } from './conserve';
import type { Adjustment, RunAccount } from './runAccount';

/** Suspicions closer than this many standard deviations cannot be told apart (our choice: a tenth shows in no print). */
const TIE = 0.1;

/** What reconciling did to a measurement, and whether an error there could explain the misfit alone. */
interface Suspect {
	readonly adjustment: Adjustment;
	readonly isPossible: boolean;
}

/** What reconciling did to every weight and grade, and how suspicious each is of a gross error. */
export function suspectsOf(conserved: Conserved): readonly Suspect[] {
	const { layout, massKg, componentKg } = conserved;
	return layout.streams.flatMap((stream, s): Suspect[] => {
		const reconciledKg = massKg[s]?.value;
		const weight =
			stream.mass === undefined
				? []
				: [
						suspectOf(
							{
								measurement: `the weight of ${stream.label}`,
								unit: 'kg',
								measured: stream.mass.value,
								...(reconciledKg === undefined ? {} : { reconciled: reconciledKg }),
							},
							conserved,
							stream.mass.u > 0 ? massDirection(conserved, s) : undefined,
						),
					];
		const grades = COMPONENTS.flatMap((component, k): Suspect[] => {
			const share = stream.shares[component];
			if (share === undefined) return [];
			const contentKg = componentKg[s]?.[k]?.value;
			const isKnown = contentKg !== undefined && reconciledKg !== undefined && reconciledKg > 0;
			return [
				suspectOf(
					{
						measurement: `the ${component} grade of ${stream.label}`,
						unit: 'fraction',
						measured: share.value,
						...(isKnown ? { reconciled: contentKg / reconciledKg } : {}),
					},
					conserved,
					gradeIsUncertain(conserved, s, k) ? gradeDirection(conserved, s, k) : undefined,
				),
			];
		});
		return [...weight, ...grades];
	});
}

/** An error that would put a weight below nothing, or a share outside 0 to 1, by more than this many of its standard uncertainties is none. */
const POSSIBLE_WITHIN = 2;

/** @param direction - what an error of the measurement does; undefined where it is exact */
function suspectOf(
	told: Omit<Adjustment, 'suspicion'>,
	{ adjuster, gap }: Conserved,
	direction: readonly number[] | undefined,
): Suspect {
	const { value, u } = direction === undefined ? { value: 0, u: 0 } : errorAlong(adjuster, gap, direction);
	const [truth, slack] = [told.measured - value, POSSIBLE_WITHIN * u];
	const most = told.unit === 'fraction' ? 1 : Number.POSITIVE_INFINITY;
	return {
		adjustment: { ...told, suspicion: u > 0 ? Math.abs(value) / u : 0 },
		isPossible: truth >= -slack && truth <= most + slack,
	};
}

/**
 * The measurements that best explain a failed test.
 *
 * With a single balance every weight explains a misfit equally well; all of them are then named, but for those that would have to be
 * what nothing can be, such as a concentrate of 140 % copper.
 *
 * @returns undefined where no measurement explains anything
 * @source Narasimhan and Mah, AIChE J. 33 (1987) 1514 (the largest statistic points at the error)
 */
export function mostSuspiciousOf(suspects: readonly Suspect[]): RunAccount['mostSuspicious'] {
	const possible = suspects.filter(({ isPossible }) => isPossible);
	const adjustments = (possible.some(({ adjustment }) => adjustment.suspicion > 0) ? possible : suspects).map(
		({ adjustment }) => adjustment,
	);
	const largest = Math.max(0, ...adjustments.map(({ suspicion }) => suspicion));
	if (largest === 0) return undefined;
	const measurements = adjustments
		.filter(({ suspicion }) => suspicion >= largest - TIE)
		.map(({ measurement }) => measurement);
	const size = `${largest.toFixed(1)} standard deviations`;
	const [first] = measurements;
	const sentence =
		measurements.length === 1
			? `Look at ${first} first: an error there explains the misfit best (${size}).`
			: `The balance cannot tell which of these is wrong (${size} each): ${measurements.join(', ')}.`;
	return { measurements, standardDeviations: largest, sentence };
}

/** What one kilogram more on the scale would do to the entries. */
function massDirection({ layout }: Conserved, stream: number): number[] {
	return layout.entries.map((entry) => {
		if (entry.stream !== stream || entry.kind === 'anchor') return 0;
		return entry.kind === 'mass' ? 1 : layout.streams[stream]!.shares[COMPONENTS[entry.component]!]!.value;
	});
}

/** What a higher share of one component would do; in photos the others give way in proportion. */
function gradeDirection({ layout, assumedKg }: Conserved, stream: number, component: number): number[] {
	const { shares, isFromPhotos } = layout.streams[stream]!;
	const own = shares[COMPONENTS[component]!]!.value;
	return layout.entries.map((entry) => {
		if (entry.stream !== stream || entry.kind !== 'component') return 0;
		if (entry.component === component) return assumedKg[stream]!;
		if (!isFromPhotos || own >= 1) return 0;
		return (-assumedKg[stream]! * shares[COMPONENTS[entry.component]!]!.value) / (1 - own);
	});
}

function gradeIsUncertain({ layout, covariance }: Conserved, stream: number, component: number): boolean {
	const index = layout.entries.findIndex((entry) => entry.stream === stream && entry.component === component);
	const { shares, isFromPhotos } = layout.streams[stream]!;
	const share = shares[COMPONENTS[component]!]!;
	if (!isFromPhotos) return share.u > 0;
	return (covariance[index]?.[index] ?? 0) > 0 && share.draws.some((draw) => draw !== share.draws[0]);
}
