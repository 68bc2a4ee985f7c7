import { taken } from '@/lib/quantity/draws';
import type { Quantity } from '@/lib/quantity/quantity';
import type { Random } from '@/lib/quantity/seededRandom';

/** Draws from the normal distribution of a measured amount (JCGM 101:2008 6.4.7). */
export function normalDraws({ value, u }: Quantity, count: number, random: Random): Float64Array {
	return taken(count, () => value + u * random.normal());
}
