import type { Component } from '../material/classes';

/** What a limit can be set on: a component's share of the dry mass, or all that is not copper taken together. */
export const LIMITED_SHARES = ['copper', 'aluminium', 'insulation', 'other', 'foreign'] as const satisfies readonly (
	| Component
	| 'foreign'
)[];
export type LimitedShare = (typeof LIMITED_SHARES)[number];

/** Where a limit is written. */
export interface LimitSource {
	readonly title: string;
	/** Year of the edition, or what is known of it where the page that quotes it does not say. */
	readonly year: string;
}

/** One limit on one share. */
export interface Limit {
	readonly share: LimitedShare;
	readonly side: 'least' | 'most';
	/** The limit as a fraction of the dry mass, 0 to 1. */
	readonly fraction: number;
	readonly source: LimitSource;
	/**
	 * The limit is on each of several things that a photo only sees together: a sum within the limit shows that each is, a sum
	 * beyond it shows nothing.
	 */
	readonly isOnEach?: boolean;
}

/** A class that a product may be sold under: limits that a share is set against, and conditions in words. */
export interface LimitClass {
	readonly id: string;
	readonly kind: 'tradeCode' | 'regulation' | 'contract';
	readonly name: string;
	/** What the class describes, in words of our own. */
	readonly item: string;
	readonly limits: readonly Limit[];
	/** What else the class asks for, that shares of a photo do not answer. */
	readonly conditions: readonly string[];
}
