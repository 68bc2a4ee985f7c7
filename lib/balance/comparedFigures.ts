import type { Component, ProductRole } from '../material/classes';

/** A figure that runs are compared by. */
export interface ComparedFigure {
	/** All products of one role together, or the feed. */
	readonly stream: ProductRole | 'feed';
	readonly figure: 'grade' | 'recovery' | 'yield' | 'efficiency';
	readonly component?: Component;
	/** Which way an improvement goes. */
	readonly better: 'higher' | 'lower' | 'neither';
	/** Shown first; the others stand behind it. */
	readonly isMain?: boolean;
}

/**
 * What runs are compared by, in the order shown: what was won, what it holds, what was lost, what comes back, what went in.
 *
 * A product's recovery of a component is the share of the feed's component that ended in it: a loss where the product is
 * tailings.
 */
export const COMPARED_FIGURES: readonly ComparedFigure[] = [
	{ stream: 'concentrate', figure: 'recovery', component: 'copper', better: 'higher', isMain: true },
	{ stream: 'concentrate', figure: 'grade', component: 'copper', better: 'higher', isMain: true },
	{ stream: 'concentrate', figure: 'efficiency', better: 'higher', isMain: true },
	{ stream: 'concentrate', figure: 'yield', better: 'neither' },
	{ stream: 'concentrate', figure: 'grade', component: 'aluminium', better: 'lower' },
	{ stream: 'concentrate', figure: 'grade', component: 'insulation', better: 'lower' },
	{ stream: 'concentrate', figure: 'recovery', component: 'aluminium', better: 'neither' },
	{ stream: 'middlings', figure: 'recovery', component: 'copper', better: 'neither' },
	{ stream: 'middlings', figure: 'grade', component: 'copper', better: 'neither' },
	{ stream: 'middlings', figure: 'yield', better: 'neither' },
	{ stream: 'tailings', figure: 'recovery', component: 'copper', better: 'lower', isMain: true },
	{ stream: 'tailings', figure: 'grade', component: 'copper', better: 'lower', isMain: true },
	{ stream: 'tailings', figure: 'yield', better: 'neither' },
	{ stream: 'feed', figure: 'grade', component: 'copper', better: 'neither' },
];
