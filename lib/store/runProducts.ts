import 'server-only';
import { checksWithPlaces, type KeptCheck, listChecks } from './checks';
import type { Store } from './database';
import type { Photo } from './photos';
import type { Product } from './products';

/** A product with as much of its photos as is asked for. */
export interface ProductWith<Shown> extends Product {
	readonly spreads: readonly { readonly id: string; readonly photos: readonly Shown[] }[];
	readonly checks: readonly KeptCheck[];
}

/** Products with their checks, and with their spreads as given, by product. */
export async function withSpreads<Line>(
	store: Store,
	products: readonly Product[],
	spreads: ReadonlyMap<string, readonly Line[]>,
) {
	const listed = await listChecks(
		store,
		products.map(({ id }) => id),
	);
	const checks = ofEach(listed, ({ productId }) => productId);
	return products.map((product) => ({
		...product,
		spreads: spreads.get(product.id) ?? [],
		checks: checks.get(product.id) ?? [],
	}));
}

/** Lines by what they belong to, each in the order they came. */
export function ofEach<Line>(
	lines: readonly Line[],
	ownerOf: (line: Line) => string,
): ReadonlyMap<string, readonly Line[]> {
	const owned = new Map<string, Line[]>();
	for (const line of lines) {
		const own = owned.get(ownerOf(line));
		if (own === undefined) owned.set(ownerOf(line), [line]);
		else own.push(line);
	}
	return owned;
}

/** The key of a photo's reading, where it is graded. */
export function keyOf({ state }: Pick<Photo, 'state'>): readonly string[] {
	return state.kind === 'graded' ? [state.analysisKey] : [];
}

/**
 * A run's products as the balance takes them.
 *
 * @param readingsOf - what stands for the reading of a photo; none where it was not read
 */
export function productsFor<Shown, Reading>(
	products: readonly ProductWith<Shown>[],
	readingsOf: (photo: Shown) => readonly Reading[],
) {
	const labels = labelsOf(products);
	return products.map(({ id, name, role, weighing, spreads, checks }) => {
		const read = spreads
			.map(({ id: spreadId, photos }) => ({ spreadId, readings: photos.flatMap(readingsOf) }))
			.filter(({ readings }) => readings.length > 0);
		return {
			label: labels.get(id) ?? id,
			name,
			role,
			weighing: weighing ?? null,
			spreads: read.map(({ readings }) => readings),
			checks: checksWithPlaces(
				checks,
				read.map(({ spreadId }) => spreadId),
			),
		};
	});
}

/** Longest name that a run file takes. */
const LONGEST_LABEL = 80;

/** What a run's products are called in its account and its file: their names, a number added where one is taken. By product id. */
export function labelsOf(products: readonly Product[]): ReadonlyMap<string, string> {
	const names = new Set(products.map(({ name }) => name.toLowerCase()));
	const taken = new Set<string>();
	return new Map(
		products.map(({ id, name }) => {
			let label = name;
			for (let next = 2; taken.has(label.toLowerCase()); next++) {
				const numbered = withNumber(name, next);
				// nor is it another product's own name
				if (!names.has(numbered.toLowerCase())) label = numbered;
			}
			taken.add(label.toLowerCase());
			return [id, label];
		}),
	);
}

function withNumber(name: string, number: number): string {
	const end = ` (${number})`;
	return `${name.slice(0, LONGEST_LABEL - end.length)}${end}`;
}
