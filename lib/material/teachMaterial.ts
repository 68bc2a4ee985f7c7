import { TrayError } from '../errors/TrayError';
import { builtInMaterial } from './builtInMaterials';
import { CLASS_WORDS, MATERIAL_CLASSES, perClass } from './classes';
import { ellipsoidOf, squaredDistance } from './ellipsoid';
import type { ColourPatch, Material } from './material';
import { MOST_OF_A_CLOUD, robustPatch, squaredApart } from './robustPatch';
import { TAUGHT_CLASSES, type TaughtClass, type TaughtSpot } from './taughtSpot';

/** Two spots of different classes that cannot both be right, or that colour cannot tell apart. */
export interface Contradiction {
	/** `same-place`: one lies on the other, neither counts. `same-colour`: both count, colour alone cannot tell them apart. */
	readonly kind: 'same-place' | 'same-colour';
	readonly one: string;
	readonly other: string;
	readonly message: string;
}

/** A material as taught, and what is wrong with the lessons. */
export interface Taught {
	readonly material: Material;
	readonly contradictions: readonly Contradiction[];
	readonly warnings: readonly string[];
}

/** What the base material's own colours of a class count for beside taught spots: as much as this many spots. Chosen by eye. */
const BASE_SPOTS = 3;
/** Centres nearer than this many standard deviations (squared) are one colour: no cut between them errs less than one in three. */
const ONE_COLOUR = 1;
/** Fewer spots than this for a taught class are pointed out. */
const FEW_SPOTS = 3;

const TAUGHT_WORDS: Readonly<Record<TaughtClass, string>> = { background: 'bare surface', ...CLASS_WORDS };

/**
 * A material whose colours are those of the taught spots, class by class, with the base material's own behind them.
 *
 * Spots of one class that are alike make one ellipsoid, others make another: red, black and grey insulation stay apart. A class
 * without a spot keeps its colours. Undo is teaching again without the spot.
 *
 * @throws TrayError `material-unreadable` when the name is empty or a built-in material's
 */
export function teachMaterial(base: Material, name: string, spots: readonly TaughtSpot[]): Taught {
	const called = name.trim();
	if (called === '')
		throw nameError('A taught material needs a name.', 'Type a name, such as the supplier or the kind of cable.');
	if (builtInMaterial(called) !== undefined) {
		throw nameError(`"${called}" is the name of a built-in material.`, 'Choose another name.');
	}
	const own = new Map(spots.map((spot, k) => [spot.id, robustPatch(`spot ${k + 1}`, spot.colours)]));
	const contradictions = contradictionsOf(spots, own);
	const dropped = new Set(contradictions.filter((c) => c.kind === 'same-place').flatMap((c) => [c.one, c.other]));
	const used = spots.filter((spot) => !dropped.has(spot.id));
	const coloursOf = (kind: TaughtClass) =>
		taughtColours(
			kind,
			used.filter((spot) => spot.class === kind),
			own,
		);
	const classes = perClass((kind) => {
		const count = used.filter((spot) => spot.class === kind).length;
		return { ...base.classes[kind], colours: joined(base.classes[kind].colours, coloursOf(kind), count) };
	});
	const surfaceColours = coloursOf('background');
	const { lastLayer: _, surfaceColours: before, ...kept } = base;
	const bare = surfaceColours.length > 0 ? surfaceColours : before;
	return {
		material: {
			...kept,
			name: called,
			classes,
			taughtFrom: base.taughtFrom ?? base.name,
			...(spots.length > 0 ? { spots: [...spots] } : {}),
			...(bare === undefined ? {} : { surfaceColours: [...bare] }),
		},
		contradictions,
		warnings: [...warningsOf(used), ...oddMetals(spots, used, own, base)],
	};
}

function nameError(message: string, hint: string): TrayError {
	return new TrayError('material-unreadable', message, hint);
}

/** Ellipsoids of one class: the two nearest groups are joined while they are within one cloud of each other. */
function taughtColours(
	kind: TaughtClass,
	spots: readonly TaughtSpot[],
	own: ReadonlyMap<string, ColourPatch>,
): ColourPatch[] {
	let groups = spots.map((spot) => ({ spots: [spot], patch: own.get(spot.id)! })); // every spot has its patch
	for (;;) {
		let nearest: { i: number; j: number; apart: number } | undefined;
		for (let i = 0; i < groups.length; i++) {
			for (let j = 0; j < i; j++) {
				const apart = squaredApart(groups[i]!.patch, groups[j]!.patch);
				if (nearest === undefined || apart < nearest.apart) nearest = { i, j, apart };
			}
		}
		if (nearest === undefined || nearest.apart > MOST_OF_A_CLOUD) break;
		const { i, j } = nearest;
		const together = [...groups[i]!.spots, ...groups[j]!.spots];
		const patch = robustPatch(
			'joined',
			together.flatMap((spot) => spot.colours),
		);
		groups = [...groups.filter((_, k) => k !== i && k !== j), { spots: together, patch }];
	}
	return groups.map((group, k) => ({
		...group.patch,
		name: `taught ${TAUGHT_WORDS[kind]} ${k + 1}`,
		share: group.spots.length / spots.length,
	}));
}

/** Taught colours with the base's behind them, shares summing to 1. */
function joined(base: readonly ColourPatch[], taught: readonly ColourPatch[], spots: number): ColourPatch[] {
	if (taught.length === 0) return [...base];
	const weight = spots / (spots + BASE_SPOTS);
	const total = base.reduce((sum, patch) => sum + (patch.share ?? 1 / base.length), 0);
	return [
		...taught.map((patch) => ({ ...patch, share: weight * (patch.share ?? 1) })),
		...base.map((patch) => ({ ...patch, share: ((1 - weight) * (patch.share ?? 1 / base.length)) / total })),
	];
}

/** For each spot the one spot of another class that it contradicts most, if any. */
function contradictionsOf(spots: readonly TaughtSpot[], own: ReadonlyMap<string, ColourPatch>): Contradiction[] {
	const found = new Map<string, Contradiction>();
	for (const [k, spot] of spots.entries()) {
		let worst: { other: TaughtSpot; at: number; apart: number; kind: Contradiction['kind'] } | undefined;
		for (const [at, other] of spots.entries()) {
			if (other.class === spot.class) continue;
			const kind = isSamePlace(spot, other) ? 'same-place' : 'same-colour';
			const apart = kind === 'same-place' ? -1 : squaredApart(own.get(spot.id)!, own.get(other.id)!);
			if (apart < (worst?.apart ?? ONE_COLOUR)) worst = { other, at, apart, kind };
		}
		if (worst === undefined) continue;
		const { other, at, kind } = worst;
		const [first, second] = k < at ? [spot, other] : [other, spot];
		const names = `Spot ${Math.min(k, at) + 1} (${TAUGHT_WORDS[first.class]}) and spot ${Math.max(k, at) + 1} (${TAUGHT_WORDS[second.class]})`;
		const says =
			kind === 'same-place'
				? 'lie on the same place but are said to be different things. Neither counts until one is undone.'
				: 'have the same colour. Undo one if it was a slip; if both are right, colour cannot tell these two apart.';
		found.set([first.id, second.id].join('\n'), { kind, one: first.id, other: second.id, message: `${names} ${says}` });
	}
	return [...found.values()];
}

function isSamePlace(one: TaughtSpot, other: TaughtSpot): boolean {
	const reach = Math.max(one.radiusPx, other.radiusPx);
	return one.photo === other.photo && Math.hypot(one.xPx - other.xPx, one.yPx - other.yPx) < reach;
}

/** Metals come in few colours, so one odd spot among them is rather a slip; insulation comes in any. */
const METALS = ['brightCopper', 'tinnedCopper', 'aluminium'] as const;

/**
 * Spots of a metal that look like none of its other spots and, by the colours before teaching, like another class: that may be what is to be taught,
 * and may be a slip that makes metal of plastic everywhere.
 */
function oddMetals(
	all: readonly TaughtSpot[],
	used: readonly TaughtSpot[],
	own: ReadonlyMap<string, ColourPatch>,
	base: Material,
): string[] {
	return METALS.flatMap((kind) => {
		const spots = used.filter((spot) => spot.class === kind);
		const isOdd = (spot: TaughtSpot) => {
			const patch = own.get(spot.id)!; // every spot has its patch
			const isAlone = spots.every(
				(other) => other === spot || squaredApart(patch, own.get(other.id)!) > MOST_OF_A_CLOUD,
			);
			return isAlone && nearestClass(base, patch) !== kind;
		};
		const odd = spots.filter(isOdd);
		// where most are odd the colours before teaching are what is wrong
		if (spots.length < FEW_SPOTS || 2 * odd.length >= spots.length) return [];
		return odd.map(
			(spot) =>
				`Spot ${all.indexOf(spot) + 1} (${TAUGHT_WORDS[kind]}) looks like no other spot of ${TAUGHT_WORDS[kind]}. See whether it was a slip: one wrong spot turns ` +
				'all that has its colour.',
		);
	});
}

/** The class whose own colours lie nearest to a patch. */
function nearestClass(base: Material, { centre }: ColourPatch): TaughtClass {
	const distances = MATERIAL_CLASSES.map((kind) =>
		Math.min(
			...base.classes[kind].colours.map((patch) => squaredDistance(ellipsoidOf(patch), centre.L, centre.a, centre.b)),
		),
	);
	return MATERIAL_CLASSES[distances.indexOf(Math.min(...distances))]!; // as many as classes
}

function warningsOf(spots: readonly TaughtSpot[]): string[] {
	return TAUGHT_CLASSES.flatMap((kind) => {
		const own = spots.filter((spot) => spot.class === kind);
		const count = own.filter((spot) => spot.radiusPx > 0).length;
		if (count === 0 || count >= FEW_SPOTS || own.length > count) return [];
		const seen = count === 1 ? 'One spot teaches' : 'Two spots teach';
		return [
			`${seen} ${TAUGHT_WORDS[kind]}. Tap ${FEW_SPOTS} or more, in light and in shade, for each colour it comes in.`,
		];
	});
}
