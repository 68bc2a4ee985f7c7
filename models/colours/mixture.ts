import { type Ellipsoid, ellipsoidOf, squaredDistance } from '../../lib/material/ellipsoid';

/** One normal distribution of a mixture; covariance as upper triangle LL, La, Lb, aa, ab, bb. */
export interface Component {
	readonly share: number;
	readonly mean: readonly [number, number, number];
	readonly covariance: readonly [number, number, number, number, number, number];
}

const ROUNDS = 60;
/** Added to each variance: a spread of 2 units, what noise and the steps of the colour cube give. */
const LEAST_VARIANCE = 4;

/**
 * Fit a mixture of normal distributions to colours by expectation and maximisation, starting at random colours.
 *
 * @param random - uniform in [0, 1)
 * @source A. Dempster, N. Laird, D. Rubin, J. R. Stat. Soc. B 39 (1977) 1
 */
export function fitMixture(colours: readonly number[][], count: number, random: () => number): Component[] {
	const whole = momentsOf(
		colours,
		colours.map(() => 1),
	);
	let mixture: Component[] = Array.from({ length: count }, () => {
		const [L, a, b] = colours[Math.floor(random() * colours.length)]!;
		const covariance = whole.covariance.map((v) => v / count) as unknown as Component['covariance']; // six in, six out
		return { share: 1 / count, mean: [L!, a!, b!] as const, covariance };
	});
	for (let round = 0; round < ROUNDS; round++) mixture = improve(mixture, colours);
	return mixture;
}

function improve(mixture: readonly Component[], colours: readonly number[][]): Component[] {
	const ellipsoids: Ellipsoid[] = mixture.map(({ mean: [L, a, b], covariance }) =>
		ellipsoidOf({ name: 'mixture', centre: { L, a, b }, covariance: [...covariance] }),
	);
	const parts = mixture.map(() => new Float64Array(colours.length));
	for (const [i, [L, a, b]] of colours.entries()) {
		const logs = ellipsoids.map(
			(e, k) => Math.log(mixture[k]!.share) - 0.5 * (squaredDistance(e, L!, a!, b!) + e.logDet),
		);
		const largest = Math.max(...logs);
		const densities = logs.map((v) => Math.exp(v - largest));
		const sum = densities.reduce((s, v) => s + v, 0);
		for (const [k, v] of densities.entries()) parts[k]![i] = v / sum;
	}
	return parts.map((part) => momentsOf(colours, part));
}

function momentsOf(colours: readonly number[][], weights: ArrayLike<number>): Component {
	let total = 1e-9;
	const mean = [0, 0, 0];
	for (const [i, colour] of colours.entries()) {
		total += weights[i]!;
		for (let c = 0; c < 3; c++) mean[c]! += weights[i]! * colour[c]!;
	}
	const [L, a, b] = mean.map((v) => v / total) as [number, number, number];
	const squares = [0, 0, 0, 0, 0, 0];
	for (const [i, colour] of colours.entries()) {
		const [x, y, z] = [colour[0]! - L, colour[1]! - a, colour[2]! - b];
		for (const [k, product] of [x * x, x * y, x * z, y * y, y * z, z * z].entries())
			squares[k]! += weights[i]! * product;
	}
	const [ll, la, lb, aa, ab, bb] = squares.map((v) => v / total) as [number, number, number, number, number, number];
	const covariance = [ll + LEAST_VARIANCE, la, lb, aa + LEAST_VARIANCE, ab, bb + LEAST_VARIANCE] as const;
	return { share: total / colours.length, mean: [L, a, b], covariance };
}
