import type { LimitClass, LimitSource } from './limit';

/** The edition behind a quoted limit was not stated by the pages that quote it. */
const CIRCULAR: LimitSource = {
	title: 'Scrap Specifications Circular of the US recycling industry, nonferrous section, as quoted by trade pages',
	year: 'edition not stated where quoted; circulars of 2017 and 2022 exist',
};

const REGULATION: LimitSource = { title: 'Commission Regulation (EU) No 715/2013, Annex I', year: '2013' };

/**
 * Published classes that chopped-cable products are offered under. Only limits that a source states are here; what a class asks for
 * in words stands under its conditions.
 *
 * Limit: EN 12861:2018 sets classes too; its limits were not at hand, so it is left out.
 *
 * @source the circular for the trade codes, the regulation's annex for the end-of-waste criterion; see each limit
 */
export const PUBLISHED_CLASSES: readonly LimitClass[] = [
	{
		id: 'clove',
		kind: 'tradeCode',
		name: 'Clove',
		item: 'No. 1 copper wire nodules, chopped or shredded, bare and unalloyed',
		limits: [{ share: 'copper', side: 'least', fraction: 0.99, source: CIRCULAR }],
		conditions: [
			'free of tin, lead, zinc, aluminium, iron, other metals, insulation and foreign matter',
			'wire finer than No. 16 gauge (1.29 mm) by agreement',
		],
	},
	{
		id: 'cobra',
		kind: 'tradeCode',
		name: 'Cobra',
		item: 'No. 2 copper wire nodules, chopped or shredded, unalloyed',
		limits: [
			{ share: 'copper', side: 'least', fraction: 0.97, source: CIRCULAR },
			{ share: 'aluminium', side: 'most', fraction: 0.005, source: CIRCULAR },
			{ share: 'other', side: 'most', fraction: 0.01, source: CIRCULAR, isOnEach: true },
			{ share: 'insulation', side: 'most', fraction: 0.01, source: CIRCULAR },
		],
		conditions: [],
	},
	{
		id: 'cocoa',
		kind: 'tradeCode',
		name: 'Cocoa',
		item: 'copper wire nodules, unalloyed',
		limits: [{ share: 'copper', side: 'least', fraction: 0.99, source: CIRCULAR }],
		conditions: ['free of excess insulation and other non-metals', 'ceilings on single metals: read the circular'],
	},
	{
		id: 'druid',
		kind: 'tradeCode',
		name: 'Druid',
		item: 'insulated copper wire scrap',
		limits: [],
		conditions: ['sold on a sample or on what is recovered, by agreement'],
	},
	{
		id: 'eu-715-2013',
		kind: 'regulation',
		name: 'EU end-of-waste criterion for copper scrap',
		item: 'copper scrap that stops being waste',
		limits: [{ share: 'foreign', side: 'most', fraction: 0.02, source: REGULATION }],
		conditions: [
			'free of PVC coatings and leftover plastic',
			'no visible oil, no excess oxide',
			'foreign material is found by hand sorting, magnet or density, and weighing',
		],
	},
];
