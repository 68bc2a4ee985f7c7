import type { LeastParts } from '../grade/leastParts';
import type { Component, Graded, ProductRole } from '../material/classes';
import type { Estimate, Quantity } from '../quantity/quantity';

/** The error of a moisture that was typed alike for several streams. */
export interface SharedMoisture {
	/** The same for the same moisture. */
	readonly name: string;
	/** Relative standard uncertainty that it gives each dry mass. */
	readonly relativeU: number;
}

/** What is known of one stream: the feed, a product or the stated loss. Anything may be missing. */
export interface StreamInput {
	/** Dry mass in kilograms; `u` holds what is this weighing's own, not what the scale does to everything. */
	readonly dryMassKg?: Quantity;
	/** Name of the scale it was weighed on; its own error is shared by all that was weighed on it. */
	readonly scale?: string;
	/** What of its moisture's error is shared by all of the run whose moisture was told alike. */
	readonly moisture?: SharedMoisture;
	/**
	 * Mass fractions drawn from photos (0 to 1, as many draws as the account asks for), summing to one in every draw.
	 * Draws of one index belong together across streams and runs.
	 */
	readonly gradeDraws?: Readonly<Record<Component, Float64Array>>;
	/** The part of copper that is not locked inside insulation, as a mass fraction, aligned with `gradeDraws`. */
	readonly freeCopperDraws?: Float64Array;
	/** The part of each that is there at least, aligned with `gradeDraws`; worked out where absent for what is below detection. */
	readonly leastParts?: LeastParts;
	/** Mass fractions known otherwise, a laboratory's for example; some or all components. Not beside `gradeDraws`. */
	readonly grade?: Readonly<Partial<Record<Component, Quantity>>>;
	/** The photo's own estimates, shown as measured and asked whether a component is below its detection limit. */
	readonly massFraction?: Readonly<Partial<Record<Graded, Estimate>>>;
}

/** What one bin caught. */
export interface ProductInput extends StreamInput {
	/** Different for every product of the run. */
	readonly id: string;
	readonly name: string;
	readonly role: ProductRole;
}

/** Everything an account of a run is made from. */
export interface AccountInput {
	/** Keeps this run's own weighing errors apart from another run's. */
	readonly runId: string;
	readonly seed: number;
	/** How many draws; every array of draws has this length. */
	readonly drawCount: number;
	readonly feed?: StreamInput;
	/** What is known to have been lost: spilt, washed away, kept as samples. Nothing when left out. */
	readonly statedLoss?: StreamInput;
	readonly products: readonly ProductInput[];
	/** Relative standard uncertainty of each named scale's own error (0.002 is 0.2 %); 0 where not named. */
	readonly scales?: Readonly<Record<string, number>>;
}
