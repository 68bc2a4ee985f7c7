import { COMPONENTS } from '../material/classes';
import { covarianceOf } from '../quantity/moments';
import type { LinearBalances } from './adjuster';
import type { Stream } from './stream';

/**
 * One measured entry of the balance. All entries are masses in kilograms: a stream's mass, or its mass of a component
 * (mass times measured share), so that every balance is linear although grades multiply weights.
 */
export interface Entry {
	readonly stream: number;
	readonly kind: 'mass' | 'anchor' | 'component';
	/** Index into COMPONENTS for a component's mass. */
	readonly component: number;
}

/** One unmeasured amount: what to add to the assumed mass of an unweighed stream, or the mass of an ungraded component. */
export interface Unknown {
	readonly stream: number;
	readonly kind: 'extra' | 'component';
	readonly component: number;
}

/** A linear combination of entries and unknowns. */
export interface Form {
	readonly entries: readonly number[];
	readonly unknowns: readonly number[];
}

/** How a run is laid out for the adjustment: what is measured, what is not, and what every stream is made of. */
export interface Layout {
	readonly streams: readonly Stream[];
	readonly entries: readonly Entry[];
	readonly unknowns: readonly Unknown[];
	/** Per stream and component (index into COMPONENTS), the component's mass. */
	readonly componentForms: readonly (readonly Form[])[];
	/** Per stream, its mass. */
	readonly massForms: readonly Form[];
	readonly balances: LinearBalances;
}

/** Lay out the streams (feed first) of one run: each component in = each component out, and parts add up to their whole. */
export function layoutOf(streams: readonly Stream[]): Layout {
	const entries: Entry[] = [];
	const unknowns: Unknown[] = [];
	streams.forEach((stream, s) => {
		const isGraded = Object.keys(stream.shares).length > 0;
		if (stream.mass !== undefined && !stream.isFromPhotos) entries.push({ stream: s, kind: 'mass', component: -1 });
		if (stream.mass === undefined && isGraded) {
			entries.push({ stream: s, kind: 'anchor', component: -1 });
			unknowns.push({ stream: s, kind: 'extra', component: -1 });
		}
		COMPONENTS.forEach((component, k) => {
			const isMeasured = stream.shares[component] !== undefined;
			if (isMeasured) entries.push({ stream: s, kind: 'component', component: k });
			else unknowns.push({ stream: s, kind: 'component', component: k });
		});
	});
	return { streams, entries, unknowns, ...formsOf(streams, entries, unknowns) };
}

function formsOf(streams: readonly Stream[], entries: readonly Entry[], unknowns: readonly Unknown[]) {
	const blank = (): { entries: number[]; unknowns: number[] } => ({
		entries: entries.map(() => 0),
		unknowns: unknowns.map(() => 0),
	});
	const componentForms = streams.map((stream, s) =>
		COMPONENTS.map((component, k) => {
			const form = blank();
			const share = stream.shares[component];
			entries.forEach((entry, i) => {
				if (entry.stream === s && entry.kind === 'component' && entry.component === k) form.entries[i] = 1;
			});
			unknowns.forEach((unknown, i) => {
				if (unknown.stream !== s) return;
				if (unknown.kind === 'component' && unknown.component === k) form.unknowns[i] = 1;
				if (unknown.kind === 'extra' && share !== undefined) form.unknowns[i] = share.value;
			});
			return form;
		}),
	);
	const partRows: Form[] = [];
	const massForms = streams.map((stream, s) => {
		const sum = componentForms[s]!.reduce(addForms, blank());
		const mass = blank();
		entries.forEach((entry, i) => {
			if (entry.stream === s && entry.kind !== 'component') mass.entries[i] = 1;
		});
		unknowns.forEach((unknown, i) => {
			if (unknown.stream === s && unknown.kind === 'extra') mass.unknowns[i] = 1;
		});
		const hasOwnMass = !stream.isFromPhotos && mass.entries.some((weight) => weight !== 0);
		if (hasOwnMass) partRows.push(addForms(sum, scaleForm(mass, -1)));
		return hasOwnMass ? mass : sum;
	});
	const balanceRows = COMPONENTS.map((_, k) =>
		streams.map((_, s) => scaleForm(componentForms[s]![k]!, s === 0 ? 1 : -1)).reduce(addForms, blank()),
	);
	const rows = [...balanceRows, ...partRows];
	const balances = { measured: rows.map((row) => row.entries), unmeasured: rows.map((row) => row.unknowns) };
	return { componentForms, massForms, balances };
}

/**
 * First-order covariance of the entries: errors of weighing (own, of the scale, of a moisture typed for several) and of grading (correlated between
 * all photos through their draws, independent for grades from elsewhere).
 *
 * @param massesKg - per stream, the mass its shares are multiplied with
 * @param shareCovariance - of the shares of all component entries, as `shareCovarianceOf` gives it
 */
export function covarianceOfEntries(
	{ streams, entries }: Pick<Layout, 'streams' | 'entries'>,
	massesKg: readonly number[],
	shareCovariance: readonly (readonly number[])[],
): number[][] {
	const perMass = entries.map(({ stream, kind, component }) => {
		if (kind === 'anchor' || streams[stream]!.mass === undefined) return 0;
		return kind === 'mass' ? 1 : streams[stream]!.shares[COMPONENTS[component]!]!.value;
	});
	const massCovariance = (a: number, b: number): number => {
		const [first, second] = [streams[a]!.mass, streams[b]!.mass];
		if (first === undefined || second === undefined) return 0;
		let relative = 0;
		for (const one of first.shared) {
			for (const { name, relativeU } of second.shared) if (name === one.name) relative += one.relativeU * relativeU;
		}
		return first.value * second.value * relative + (a === b ? first.u ** 2 : 0);
	};
	return entries.map((one, i) =>
		entries.map((other, j) => {
			const weighing = perMass[i]! * perMass[j]! * massCovariance(one.stream, other.stream);
			const grading = massesKg[one.stream]! * massesKg[other.stream]! * shareCovariance[i]![j]!;
			return weighing + grading;
		}),
	);
}

/** Covariance between the measured shares behind the entries; zero for entries that are whole masses. */
export function shareCovarianceOf({ streams, entries }: Pick<Layout, 'streams' | 'entries'>): number[][] {
	const shares = entries.map(({ stream, kind, component }) =>
		kind === 'component' ? streams[stream]!.shares[COMPONENTS[component]!] : undefined,
	);
	const covariance = entries.map(() => entries.map(() => 0));
	entries.forEach((entry, i) => {
		for (let j = 0; j <= i; j++) {
			const [a, b] = [shares[i], shares[j]];
			if (a === undefined || b === undefined) continue;
			const arePhotos = streams[entry.stream]!.isFromPhotos && streams[entries[j]!.stream]!.isFromPhotos;
			const value = arePhotos ? covarianceOf(a.draws, b.draws) : i === j ? a.u ** 2 : 0;
			covariance[i]![j] = value;
			covariance[j]![i] = value;
		}
	});
	return covariance;
}

/** Two combinations added up. */
export function addForms(a: Form, b: Form): { entries: number[]; unknowns: number[] } {
	return {
		entries: a.entries.map((weight, index) => weight + b.entries[index]!),
		unknowns: a.unknowns.map((weight, index) => weight + b.unknowns[index]!),
	};
}

/** So many times a combination. */
export function scaleForm(form: Form, factor: number): { entries: number[]; unknowns: number[] } {
	return { entries: form.entries.map((w) => w * factor), unknowns: form.unknowns.map((w) => w * factor) };
}
