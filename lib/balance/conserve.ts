import { COMPONENTS } from '../material/classes';
import { type Adjuster, adjusterOf, dot, imbalanceOf, isDetermined } from './adjuster';
import { type AdjustmentMap, adjustmentMapOf, applyMap } from './adjustmentMap';
import { assumedMassesOf } from './assumedMasses';
import type { Drawn } from './drawn';
import {
	addForms,
	covarianceOfEntries,
	type Form,
	type Layout,
	layoutOf,
	scaleForm,
	shareCovarianceOf,
} from './layout';
import { probabilityOf } from './misfitProbability';
import type { Stream } from './stream';

/** A run whose components are conserved, in masses; undefined where the measurements do not determine a mass. */
export interface Conserved {
	/** Per stream (feed first), dry mass in kilograms. */
	readonly massKg: readonly (Drawn | undefined)[];
	/** Per stream, mass of each component in the order of COMPONENTS. */
	readonly componentKg: readonly (readonly (Drawn | undefined)[])[];
	readonly layout: Layout;
	readonly adjuster: Adjuster;
	readonly covariance: readonly (readonly number[])[];
	/** Measured entries at their best values, and what the balances miss by there. */
	readonly measured: readonly number[];
	readonly gap: ReturnType<typeof imbalanceOf>;
	/** Per stream, the mass its shares were multiplied with: weighed, or worked out. */
	readonly assumedKg: readonly number[];
	readonly chiSquare: number;
	readonly degreesOfFreedom: number;
	readonly probability: number | undefined;
	/** Kilograms that stay missing because weights stated as exact contradict each other. */
	readonly unclosedKg: number;
	/** Masses of streams and components that the adjustment would have taken below nothing, held at nothing (best values only). */
	readonly heldAtZero: readonly Held[];
}

/** A component's mass in a stream, or the stream's whole mass where no component is named. */
interface Held {
	readonly stream: number;
	readonly component?: number;
	/** What is left of the mass beside the components that are known. */
	readonly isRest?: true;
	/** What the feed leaves for all streams together of which that is not known. */
	readonly isOthers?: true;
}

/**
 * Make masses and grades of all streams agree, at their best values and in every draw.
 *
 * Works in component masses, where all balances are linear. Every draw of the measurements gets the same weighted
 * least-squares adjustment as the best values, so the draws of the result carry the whole chain. A mass, a component's or a stream's, that
 * the adjustment would take below nothing is held at nothing and the rest is adjusted again (least squares on what can
 * be, instead of clipping a result): fractions stay within 0 and 1 and still sum to one.
 *
 * Limit: the weights of the adjustment come from first-order uncertainties at the measured values.
 *
 * @source linear form by component flows: Crowe, AIChE J. 32 (1986) 616; Monte Carlo through it: JCGM 101:2008 7
 */
export function conserve(streams: readonly Stream[], drawCount: number): Conserved {
	const layout = layoutOf(streams);
	const shareCovariance = shareCovarianceOf(layout);
	const covarianceAt = (massesKg: readonly number[]) => covarianceOfEntries(layout, massesKg, shareCovariance);
	const assumedKg = assumedMassesOf(layout, covarianceAt);
	const covariance = covarianceAt(assumedKg);
	const adjuster = adjusterOf(layout.balances, covariance);
	const measured = entriesAt(
		layout,
		(s) => assumedKg[s]!,
		(s, k) => streams[s]!.shares[COMPONENTS[k]!]!.value,
	);
	const gap = imbalanceOf(adjuster, measured);
	const solver = solverOf(layout, adjuster, covariance);
	const best = solver.solve(measured);
	const drawn = drawAll(layout, solver, assumedKg, drawCount);
	const figure = (output: number | undefined): Drawn | undefined =>
		output === undefined ? undefined : { value: best.result[output]!, draws: drawn[output]! };
	const componentKg = layout.componentForms.map((_, s) =>
		COMPONENTS.map((_, k) => figure(solver.componentOutput[s]![k])),
	);
	const chiSquare = dot(gap, adjuster.imbalance.inverse.mmul(gap));
	return {
		...exactSums(
			componentKg,
			layout.massForms.map((_, s) => figure(solver.massOutput[s])),
		),
		layout,
		adjuster,
		covariance,
		measured,
		gap,
		assumedKg,
		chiSquare,
		degreesOfFreedom: adjuster.imbalance.rank,
		probability: probabilityOf(chiSquare, adjuster.imbalance.rank),
		unclosedKg: unclosedOf(adjuster, measured, gap),
		heldAtZero: best.held.map((output) => solver.componentOf(output)),
	};
}

/** The measured entries of a layout for given masses and shares. */
function entriesAt(
	{ entries }: Layout,
	massKg: (stream: number) => number,
	share: (stream: number, component: number) => number,
): number[] {
	return entries.map(
		({ stream, kind, component }) => massKg(stream) * (kind === 'component' ? share(stream, component) : 1),
	);
}

interface Solver {
	readonly free: AdjustmentMap;
	readonly componentOutput: readonly (readonly (number | undefined)[])[];
	readonly massOutput: readonly (number | undefined)[];
	/** Output of the correction to an assumed mass, per stream. */
	readonly extraOutput: readonly (number | undefined)[];
	readonly solve: (measured: ArrayLike<number>) => { readonly result: Float64Array; readonly held: readonly number[] };
	readonly componentOf: (output: number) => Held;
}

/** The adjustment as ready-made linear maps, one for each set of component masses held at nothing, made when first needed. */
function solverOf(layout: Layout, adjuster: Adjuster, covariance: readonly (readonly number[])[]): Solver {
	const outputs: Form[] = [];
	const owners: Held[] = [];
	const add = (form: Form, owner: Held): number | undefined => {
		if (!isDetermined(adjuster, form.unknowns)) return undefined;
		owners.push(owner);
		return outputs.push(form) - 1;
	};
	const componentOutput = layout.componentForms.map((forms, s) =>
		forms.map((form, k) => add(form, { stream: s, component: k })),
	);
	// a mass that is no sum of components could fall below nothing by itself
	const isBare = (s: number) => componentOutput[s]!.every((output) => output === undefined);
	const bareOutput = layout.massForms.map((form, s) => (isBare(s) ? add(form, { stream: s }) : undefined));
	// an assay alone tells one component; what it leaves of the mass is known although its parts are not
	layout.massForms.forEach((form, s) => {
		const known = layout.componentForms[s]!.filter((_, k) => componentOutput[s]![k] !== undefined);
		if (known.length === 0 || known.length === COMPONENTS.length) return;
		add(
			known.reduce((rest, part) => addForms(rest, scaleForm(part, -1)), form),
			{ stream: s, isRest: true },
		);
	});
	// nor do streams that are not known hold less than nothing together
	const leftOf = (forms: readonly Form[]) => {
		const [feed, ...out] = forms;
		const known = out.filter(({ unknowns }) => isDetermined(adjuster, unknowns));
		if (feed === undefined || known.length === out.length) return undefined;
		return known.reduce((rest, part) => addForms(rest, scaleForm(part, -1)), feed);
	};
	for (const k of [undefined, ...COMPONENTS.keys()]) {
		const left = leftOf(k === undefined ? layout.massForms : layout.componentForms.map((forms) => forms[k]!));
		if (left !== undefined) add(left, { stream: 0, ...(k === undefined ? {} : { component: k }), isOthers: true });
	}
	const masses = outputs.length;
	const massOutput = layout.massForms.map((form, s) => (isBare(s) ? bareOutput[s] : add(form, { stream: s })));
	const extraOutput = layout.streams.map((_, s) => {
		const unknown = layout.unknowns.findIndex(({ stream, kind }) => stream === s && kind === 'extra');
		const unknowns = layout.unknowns.map((_, index) => (index === unknown ? 1 : 0));
		return unknown < 0 ? undefined : add({ entries: layout.entries.map(() => 0), unknowns }, { stream: s });
	});
	const isMass = (output: number) => output < masses || massOutput.includes(output);
	const free = adjustmentMapOf(adjuster, outputs);
	const maps = new Map<string, AdjustmentMap>();
	const mapHolding = (held: readonly number[]): AdjustmentMap => {
		const key = held.join();
		const known = maps.get(key);
		if (known !== undefined) return known;
		const rows = held.map((output) => outputs[output]!);
		const balances = {
			measured: [...layout.balances.measured, ...rows.map((row) => row.entries)],
			unmeasured: [...layout.balances.unmeasured!, ...rows.map((row) => row.unknowns)],
		};
		const map = adjustmentMapOf(adjusterOf(balances, covariance), outputs);
		maps.set(key, map);
		return map;
	};
	const solve = (measured: ArrayLike<number>) => {
		let result = applyMap(free, measured);
		let held: number[] = [];
		while (held.length < masses) {
			dropRounding(result, isMass);
			const worst = mostNegative(result, masses, held);
			if (worst === undefined) break;
			held = [...held, worst].sort((a, b) => a - b);
			result = applyMap(mapHolding(held), measured);
		}
		for (const output of held) result[output] = 0;
		return { result, held };
	};
	return { free, componentOutput, massOutput, extraOutput, solve, componentOf: (output) => owners[output]! };
}

/** Masses that are nothing but rounding become nothing, so that no share is ever taken of rounding. */
function dropRounding(result: Float64Array, isMass: (output: number) => boolean): void {
	let size = 0;
	for (let output = 0; output < result.length; output++) {
		if (isMass(output)) size = Math.max(size, Math.abs(result[output]!));
	}
	for (let output = 0; output < result.length; output++) {
		if (isMass(output) && Math.abs(result[output]!) <= 1e-11 * size) result[output] = 0;
	}
}

/** The mass furthest below nothing; undefined when none is. */
function mostNegative(result: Float64Array, masses: number, held: readonly number[]): number | undefined {
	let worst: number | undefined;
	let lowest = 0;
	for (let output = 0; output < masses; output++) {
		if (result[output]! < lowest && !held.includes(output)) {
			lowest = result[output]!;
			worst = output;
		}
	}
	return worst;
}

/** Every draw of the measurements through the adjustment; an unweighed stream's assumed mass is settled draw by draw. */
function drawAll(layout: Layout, solver: Solver, assumedKg: readonly number[], drawCount: number): Float64Array[] {
	const { streams, entries } = layout;
	const drawn = Array.from({ length: solver.free.outputs }, () => new Float64Array(drawCount));
	const shares = entries.map(({ stream, kind, component }) =>
		kind === 'component' ? streams[stream]!.shares[COMPONENTS[component]!]!.draws : undefined,
	);
	const unweighed = streams.flatMap((_, s) => (solver.extraOutput[s] === undefined ? [] : [s]));
	const massKg = Float64Array.from(assumedKg);
	const x = new Float64Array(entries.length);
	const fill = (index: number) =>
		entries.forEach(({ stream }, e) => {
			x[e] = massKg[stream]! * (shares[e]?.[index] ?? 1);
		});
	for (let index = 0; index < drawCount; index++) {
		streams.forEach(({ mass }, s) => {
			massKg[s] = mass?.draws[index] ?? assumedKg[s]!;
		});
		// nothing weighs more than what was fed: without that, near-equal grades send an assumed mass anywhere
		const fedKg = streams[0]!.mass?.draws[index] ?? Number.POSITIVE_INFINITY;
		fill(index);
		for (let round = 0; round < 6 && unweighed.length > 0; round++) {
			const result = applyMap(solver.free, x);
			for (const s of unweighed) massKg[s] = Math.min(fedKg, Math.max(0, massKg[s]! + result[solver.extraOutput[s]!]!));
			fill(index);
		}
		const { result } = solver.solve(x);
		for (let output = 0; output < drawn.length; output++) drawn[output]![index] = result[output]!;
	}
	return drawn;
}

/** Sums taken from their parts, so that what is shown adds up to the last digit: masses of components, feed of products. */
function exactSums(componentKg: readonly (readonly (Drawn | undefined)[])[], massKg: readonly (Drawn | undefined)[]) {
	const [feed = [], ...out] = componentKg;
	const components = [feed.map((own, k) => plainSum(out.map((stream) => stream[k])) ?? own), ...out];
	const whole = components.map((parts, s) => plainSum(parts) ?? massKg[s]);
	return { componentKg: components, massKg: [plainSum(whole.slice(1)) ?? whole[0], ...whole.slice(1)] };
}

function plainSum(parts: readonly (Drawn | undefined)[]): Drawn | undefined {
	const present = parts.filter((part) => part !== undefined);
	if (present.length === 0 || present.length < parts.length) return undefined;
	const draws = new Float64Array(present[0]!.draws.length);
	for (const part of present) for (let index = 0; index < draws.length; index++) draws[index]! += part.draws[index]!;
	return { value: present.reduce((sum, part) => sum + part.value, 0), draws };
}

function unclosedOf(adjuster: Adjuster, measured: readonly number[], gap: ReturnType<typeof imbalanceOf>): number {
	const change = adjuster.gain.mmul(gap).to1DArray();
	const left = imbalanceOf(
		adjuster,
		measured.map((value, index) => value - change[index]!),
	);
	return Math.max(0, ...left.to1DArray().map(Math.abs));
}
