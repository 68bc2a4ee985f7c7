import type { Component, Graded, ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import type { BalanceWarning } from './balanceWarning';

/** Figures per component, and for free copper where photos gave it; a component is missing where nothing can be said. */
export type PerGraded = Readonly<Partial<Record<Graded, Estimate>>>;

/** A stream as measured and as reconciled; what is missing could not be measured or worked out. */
export interface StreamAccount {
	readonly dryMassKg: { readonly measured?: Estimate; readonly reconciled?: Estimate };
	/** A stream without a mass keeps its measured shares as reconciled: nothing bears on them. */
	readonly massFraction: { readonly measured: PerGraded; readonly reconciled: PerGraded };
}

/** Limits of a share that is not determined. */
export interface Bounds {
	readonly low: number;
	readonly high: number;
}

/** One product, or several taken together, against the feed. All shares are 0 to 1. */
export interface Performance {
	/** Share of the feed's dry mass. */
	readonly yieldFraction?: Estimate;
	/** Share of the feed's component that the product holds. */
	readonly recovery: PerGraded;
	/**
	 * Where the recovery is not determined because a stream has no grade: the recovery if that stream held nothing (high) and if it were
	 * nothing else (low; 0 where its weight is not known either), with the rest of the uncertainty added. Where weights are far from closing
	 * they also hold with any one of them misread.
	 */
	readonly recoveryBounds?: Readonly<Partial<Record<Component, Bounds>>>;
	/** Beside the bounds: the share of what the graded streams hold. */
	readonly recoveryAmongGraded?: PerGraded;
	/** Grade of the product over grade of the feed. */
	readonly upgradeRatio: PerGraded;
	/** Recovery of copper minus recovery of all the rest. @source Schulz, Trans. SME-AIME 247 (1970) 81 */
	readonly separationEfficiency?: Estimate;
}

/** One product's line of the account. */
export interface ProductAccount extends StreamAccount, Performance {
	readonly id: string;
	readonly name: string;
	readonly role: ProductRole;
}

/** Products taken together, as if they had been poured into one bin. */
export interface GroupAccount extends Performance {
	readonly productIds: readonly string[];
	readonly dryMassKg?: Estimate;
	readonly massFraction: PerGraded;
}

/** What reconciling did to one measurement. */
export interface Adjustment {
	/** In words: `the weight of Tailings`, `the copper grade of the feed`. */
	readonly measurement: string;
	readonly unit: 'kg' | 'fraction';
	readonly measured: number;
	readonly reconciled?: number;
	/** Standard deviations of evidence that this measurement holds a gross error. */
	readonly suspicion: number;
}

/** The account of a run: plain data, ready for JSON. */
export interface RunAccount {
	readonly runId: string;
	readonly seed: number;
	readonly drawCount: number;
	readonly feed: StreamAccount & {
		/** Whether the feed's copper grade was measured, worked out from the products, or is unknown. */
		readonly gradeOrigin: 'measured' | 'back-calculated' | 'unknown';
		readonly massOrigin: 'weighed' | 'sum-of-products' | 'unknown';
	};
	readonly loss?: StreamAccount;
	readonly products: readonly ProductAccount[];
	/** All products together, and those of each role that occurs. */
	readonly together: Readonly<Partial<Record<ProductRole | 'all', GroupAccount>>>;
	/** Weighed products and loss over weighed feed, before reconciling; missing where a weight is. */
	readonly closure?: Estimate;
	/** Weighed feed minus products and loss, kg, before reconciling. */
	readonly unaccountedKg?: Estimate;
	/** The same ratio as `closure` per component, where feed and all products are graded. */
	readonly componentClosure: Readonly<Partial<Record<Component, Estimate>>>;
	readonly chiSquare: number;
	readonly degreesOfFreedom: number;
	/** Missing where nothing was measured twice: there is nothing to test. */
	readonly probability?: number;
	/** When the test fails: by how much the uncertainty of weights (and of grades, where tested) was stretched. */
	readonly misfitRatio?: number;
	/** By far too little is in the bins: what is missing may hold anything. */
	readonly isPartMissing?: true;
	readonly adjustments: readonly Adjustment[];
	/** When the test fails: the measurements that best explain it (several where the balance cannot tell them apart). */
	readonly mostSuspicious?: {
		readonly measurements: readonly string[];
		readonly standardDeviations: number;
		readonly sentence: string;
	};
	readonly warnings: readonly BalanceWarning[];
}
