import { COMPONENTS } from '../material/classes';
import { adjusterOf, isDetermined } from './adjuster';
import { adjustmentMapOf, applyMap } from './adjustmentMap';
import type { Layout } from './layout';

/**
 * The mass that each stream's shares are multiplied with: its weight where it has one, else the mass that makes the
 * balance close, found by linearising about the last guess until it stays.
 *
 * Where the measurements do not determine a missing mass the guess stands and nothing that depends on it is reported.
 *
 * @param covarianceAt - covariance of the entries for given masses
 * @returns kilograms per stream, above 0 for unweighed ones
 */
export function assumedMassesOf(
	layout: Layout,
	covarianceAt: (massesKg: readonly number[]) => number[][],
): readonly number[] {
	const { streams, entries, unknowns, balances } = layout;
	let massesKg = firstGuess(layout);
	const wanted = unknowns.flatMap(({ kind, stream }, index) => (kind === 'extra' ? [{ stream, index }] : []));
	if (wanted.length === 0) return massesKg;
	for (let round = 0; round < 100; round++) {
		const adjuster = adjusterOf(balances, covarianceAt(massesKg));
		const forms = wanted.map(({ index }) => ({
			entries: entries.map(() => 0),
			unknowns: unknowns.map((_, other) => (other === index ? 1 : 0)),
		}));
		const measured = entries.map(({ stream, kind, component }) => {
			const share = kind === 'component' ? streams[stream]!.shares[COMPONENTS[component]!]!.value : 1;
			return massesKg[stream]! * share;
		});
		const extra = applyMap(adjustmentMapOf(adjuster, forms), measured);
		const next = [...massesKg];
		let change = 0;
		wanted.forEach(({ stream }, output) => {
			if (!isDetermined(adjuster, forms[output]!.unknowns)) return;
			const old = massesKg[stream]!;
			next[stream] = Math.max(old / 10, old + extra[output]!);
			change = Math.max(change, Math.abs(next[stream]! / old - 1));
		});
		massesKg = next;
		if (change < 1e-12) break;
	}
	return massesKg;
}

/** Weights where known; what the feed leaves unexplained, in equal parts, else the mean of the known weights, else 1 kg. */
function firstGuess({ streams }: Layout): number[] {
	const [feed, ...out] = streams;
	const known = out.flatMap(({ mass }) => (mass === undefined ? [] : [mass.value]));
	const sum = known.reduce((total, value) => total + value, 0);
	const missing = out.length - known.length;
	const left = feed?.mass === undefined ? 0 : feed.mass.value - sum;
	const each = left > 0 ? left / missing : known.length > 0 && sum > 0 ? sum / known.length : 1;
	return streams.map(({ mass }, s) => mass?.value ?? (s === 0 ? Math.max(sum, each) : each));
}
