import { COMPONENTS } from '../material/classes';
import { type Drawn, drawnFrom, estimateOfDrawn, ratioOfDrawn, sumOfDrawn } from './drawn';
import { perComponent } from './performance';
import type { RunAccount } from './runAccount';
import type { Stream } from './stream';

/**
 * How well the run closes before anything is adjusted: what left over what came in, by weight and by component.
 *
 * Figures that need a missing weight or grade are left out.
 *
 * @param streams - feed first, then everything that left
 */
export function closureOf(
	streams: readonly Stream[],
): Pick<RunAccount, 'closure' | 'unaccountedKg' | 'componentClosure'> {
	const [feed, ...leaving] = streams;
	const out = sumOfDrawn(leaving.map(({ mass }) => mass));
	const closure = estimateOfDrawn(ratioOfDrawn(out, feed?.mass));
	const unaccountedKg = out && feed?.mass && estimateOfDrawn(drawnFrom([feed.mass, out], (fed, left) => fed - left));
	return {
		...(closure === undefined ? {} : { closure }),
		...(unaccountedKg === undefined ? {} : { unaccountedKg }),
		componentClosure: perComponent((component) => {
			if (feed === undefined || !COMPONENTS.includes(component)) return undefined;
			const contents = leaving.map(({ mass, shares }) => contentOf(mass, shares[component]));
			return estimateOfDrawn(ratioOfDrawn(sumOfDrawn(contents), contentOf(feed.mass, feed.shares[component])));
		}),
	};
}

function contentOf(mass: Drawn | undefined, share: Drawn | undefined): Drawn | undefined {
	return mass && share && drawnFrom([mass, share], (kg, fraction) => kg * fraction);
}

/**
 * A balance fails so badly that widening what was weighed can't stand for what was not: a bin is missing, or a weight is another bin's. Sound
 * weights fail so one time in a thousand.
 */
export function isFarFromClosing({ probability }: { readonly probability?: number | undefined }): boolean {
	return probability !== undefined && probability < 0.001;
}
