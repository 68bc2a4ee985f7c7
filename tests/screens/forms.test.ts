import { describe, expect, test } from 'vitest';
import { lotGroup, readLotForm } from '@/app/_forms/lotForm';
import { readMatForm } from '@/app/_forms/matForm';
import { mergeEdit } from '@/app/_forms/mergeEdit';
import { FieldReader } from '@/app/_forms/readFields';
import { readReadingForm } from '@/app/_forms/readingForm';
import { readRerunForm } from '@/app/_forms/rerunForm';
import { readRunForm, runGroup, typedRun, withUnaskedFeed } from '@/app/_forms/runForm';
import { fieldsInAddress } from '@/app/_forms/typedNumber';
import { readWeighingForm, typedAsBefore, typedWeighing, withUnasked } from '@/app/_forms/weighingForm';
import { dryMassOf } from '@/lib/balance/dryMass';
import { weighingSchema } from '@/lib/balance/weighing';
import { presentationFor, presentBy } from '@/lib/report/presentation';

const weigh = (typed: Record<string, string>) => {
	const fields = new FieldReader({ unit: 'kg', moistureKind: 'dry', ...typed });
	const weighing = readWeighingForm({ unit: 'kg', moistureKind: 'dry', ...typed }, fields);
	return { weighing, problems: fields.problems };
};

test('three decimals after a comma are read where the device writes one, in an address too; elsewhere they may be thousands', () => {
	const query = { batchKg: '4,125', from: 'assumed', seed: ['1', '2'] };
	expect(fieldsInAddress(query)).toEqual({ typed: expect.anything(), read: { batchKg: '4,125', from: 'assumed' } });
	presentBy(() => presentationFor(undefined, 'de-DE'));
	try {
		const { typed, read } = fieldsInAddress(query);
		expect([typed.batchKg, readRerunForm(read).batchKg]).toEqual(['4,125', 4.125]);
	} finally {
		presentBy(() => undefined);
	}
});

describe('weighing', () => {
	test('a comma and a point are both the decimal sign', () => {
		expect(weigh({ gross: '12,4', tare: '0.8' })).toEqual({
			weighing: { gross: '12,4', tare: '0.8', unit: 'kg' },
			problems: [],
		});
	});

	test('tare above gross is told at the tare', () => {
		expect(weigh({ gross: '1', tare: '2' }).problems).toEqual([
			{ field: 'tare', message: expect.stringContaining('heavier than the full one') },
		]);
	});

	test('a weight is told at its own field whatever words were typed into it, and every one of them', () => {
		const told = weigh({ gross: '5 without moisture', tare: 'the tare', resolution: 'small' }).problems;
		expect(told.map(({ field }) => field)).toEqual(['gross', 'tare', 'resolution']);
		const dried = { gross: '5', moistureKind: 'dried' };
		expect(weigh({ ...dried, wet: '200 g', dry: 'no moisture' }).problems.map(({ field }) => field)).toEqual(['dry']);
		expect(weigh({ ...dried, wet: '0.2', dry: '0.3' }).problems.map(({ field }) => field)).toEqual(['wet']);
		const drained = { gross: '5', moistureKind: 'allowance', water: '6' };
		expect(weigh(drained).problems.map(({ field }) => field)).toEqual(['water']);
		expect(weigh({ ...drained, water: '1', waterU: '-1' }).problems.map(({ field }) => field)).toEqual(['waterU']);
	});

	test('moisture of 100 % is told at the moisture', () => {
		expect(weigh({ gross: '5', moistureKind: 'fraction', moisturePercent: '100' }).problems).toEqual([
			{ field: 'moisturePercent', message: expect.stringContaining('nothing dry') },
		]);
	});

	test('words in place of a number are told with how to write it', () => {
		expect(weigh({ gross: 'heavy' }).problems).toEqual([
			{ field: 'gross', message: expect.stringMatching(/gross weight.*12\.4/i) },
		]);
	});

	test('a tare alone asks for the gross weight; nothing typed is nothing weighed', () => {
		expect(weigh({ tare: '1' }).problems[0]?.field).toBe('gross');
		expect(weigh({})).toEqual({ weighing: undefined, problems: [] });
	});

	test('a step of nothing, or a scale with a very long name, is told at its field', () => {
		expect(weigh({ gross: '5', resolution: '0' }).problems).toMatchObject([{ field: 'resolution' }]);
		expect(weigh({ gross: '5', scale: 's'.repeat(90) }).problems).toEqual([
			{ field: 'scale', message: 'Shorten the name of the scale to 80 characters.' },
		]);
	});

	test('a weight never counts as dry unasked', () => {
		expect(weigh({ gross: '5', moistureKind: '' })).toEqual({
			weighing: undefined,
			problems: [{ field: 'moistureKind', message: 'Say whether it was wet or dry when weighed' }],
		});
		expect(weigh({ moistureKind: '' }).problems).toEqual([]);
	});

	test('of the bin before, the form takes over what is alike, never how wet it was', () => {
		const dried = { kind: 'dried', wet: '212 g', dry: '204 g' } as const;
		const before = { gross: '5.07', tare: '0.78', unit: 'lb', scale: 'platform', moisture: dried } as const;
		const alike = { unit: 'lb', resolution: '', scale: 'platform', moistureKind: 'dried' };
		expect(typedAsBefore(before, true)).toEqual({ ...alike, tare: '0.78' });
		expect(typedAsBefore(before, false)).toEqual(alike);
		const { moisture: _, ...dry } = before;
		expect(typedAsBefore(dry, false)).toEqual({ ...alike, moistureKind: '' });
	});

	test('a weighing comes back into the form as it was typed', () => {
		const typed = { gross: '5,07', tare: '0.78', unit: 'lb', moistureKind: 'fraction', moisturePercent: '3.5' };
		const { weighing } = weigh(typed);
		expect(typedWeighing(weighing)).toMatchObject(typed);
	});

	test('weights that a file brought stand in the form with the decimal sign of who looks, and lose nothing when saved again', () => {
		presentBy(() => presentationFor(undefined, 'de-DE'));
		try {
			const earlier = {
				gross: '5.10 kg',
				tare: 0.78,
				moisture: { kind: 'fraction', fraction: '4.5 %', u: 0.002 },
			} as const;
			const typed = typedWeighing(earlier);
			expect(typed).toMatchObject({ gross: '5,10 kg', tare: '0,78', moisturePercent: '4,5' });
			const saved = withUnasked(weigh(typed).weighing, earlier)!;
			expect(saved.moisture).toMatchObject({ u: 0.002 });
			expect(dryMassOf(weighingSchema.parse(saved))).toEqual(dryMassOf(weighingSchema.parse(earlier)));
			// a comma here could set off thousands
			expect(typedWeighing({ gross: '1.240' })).toMatchObject({ gross: '1.240' });
		} finally {
			presentBy(() => undefined);
		}
	});
});

describe('run', () => {
	const typed = {
		name: 'Run 7',
		runDate: '2026-03-05',
		material: 'Mixed cable waste',
		'feed-unit': 'kg',
		'loss-unit': 'kg',
	};

	test('every problem is told at once, each at its field', () => {
		const { fields } = readRunForm({
			...typed,
			name: ' ',
			strokeLengthMm: 'long',
			strokesPerMin: '99999',
			feedCopper: '4',
		});
		expect(fields.problems.map(({ field }) => field).sort()).toEqual([
			'feedCopperU',
			'name',
			'strokeLengthMm',
			'strokesPerMin',
		]);
	});

	test('a run comes back into the form as it was typed', () => {
		const all = {
			...typed,
			strokeLengthMm: '14.5',
			feedCopper: '4',
			feedCopperU: '0.5',
			filmOnDeck: 'yes',
			notes: 'wet',
		};
		const { entry, fields } = readRunForm(all);
		expect(fields.problems).toEqual([]);
		expect(entry.feed.grade?.copper).toEqual({ value: 0.04, u: 0.005 });
		expect(typedRun(entry)).toMatchObject({
			strokeLengthMm: '14.5',
			feedCopper: '4',
			feedCopperU: '0.5',
			filmOnDeck: 'yes',
		});
	});

	test.each([
		['', undefined],
		['no', false],
		['yes', true],
	])('a film on the deck said to be "%s" is kept so: what was not noted is no "no"', (filmOnDeck, kept) => {
		const { entry } = readRunForm({ ...typed, filmOnDeck });
		expect(entry.settings.filmOnDeck).toBe(kept);
		expect(typedRun(entry).filmOnDeck).toBe(filmOnDeck);
	});
});

describe('lot', () => {
	test('a received mass in pounds is kept in kilograms', () => {
		const { entry, fields } = readLotForm({ name: 'Lot', receivedMass: '1000', receivedUnit: 'lb' });
		expect(fields.problems).toEqual([]);
		expect(entry.receivedMassKg).toBeCloseTo(453.59237, 9);
	});

	test('a lot needs a name and a mass above zero', () => {
		const { fields } = readLotForm({ name: '', receivedMass: '-2', receivedUnit: 'kg' });
		expect(fields.problems.map(({ field }) => field)).toEqual(['receivedMass', 'name']);
	});
});

describe('reading', () => {
	const tray = { surface: 'tray', method: 'auto', fieldWidthMm: '200', fieldHeightMm: '140' };
	const corners = { x1: '10', y1: '10', x2: '500', y2: '12', x3: '490', y3: '400', x4: '15', y4: '390' };

	test('a tray takes four corners and its inner size', () => {
		const { choice, fields } = readReadingForm({ ...tray, ...corners });
		expect(fields.problems).toEqual([]);
		expect(choice).toMatchObject({ surface: 'tray', corners: [10, 10, 500, 12, 490, 400, 15, 390], fieldWidthMm: 200 });
	});

	test('crossed corners are told, missing ones each at its field', () => {
		const crossed = readReadingForm({ ...tray, ...corners, x1: '500', x2: '10' });
		expect(crossed.fields.problems[0]?.message).toMatch(/corners/);
		const missing = readReadingForm({ ...tray, ...corners, x3: '' });
		expect(missing.fields.problems).toEqual([{ field: 'x3', message: 'Set the bottom-right corner' }]);
		const half = readReadingForm({ ...tray, ...corners, y3: '' });
		expect(half.fields.problems).toEqual([{ field: 'y3', message: 'Set the bottom-right corner' }]);
		// one sentence a corner, not one a number
		const told = readReadingForm(tray).fields.problems.map(({ message }) => message);
		expect(told).toEqual(
			['top-left', 'top-right', 'bottom-right', 'bottom-left'].map((name) => `Set the ${name} corner`),
		);
		const wild = readReadingForm({ ...tray, ...corners, x2: 'far', y2: 'low' });
		expect(wild.fields.problems).toHaveLength(1);
	});
});

describe('a form left open while the same was changed elsewhere', () => {
	const seen = { name: 'Run 7', notes: 'one\ntwo', 'feed-gross': '5', 'feed-unit': 'kg', strokeLengthMm: '14' };
	const opened = { ...seen, notes: 'one\r\ntwo', seen: JSON.stringify(seen) };

	test('takes nothing back that it left alone', () => {
		const now = { ...seen, notes: 'three', 'feed-gross': '11', 'feed-unit': 'lb' };
		const { typed, clashes } = mergeEdit({ ...opened, strokeLengthMm: '15' }, now, runGroup);
		expect(clashes).toEqual([]);
		expect(typed).toMatchObject({ ...now, strokeLengthMm: '15' });
	});

	test('is sent back where both changed one thing, and taken the second time', () => {
		const now = { ...seen, name: 'Run 8', 'feed-unit': 'lb', strokeLengthMm: '15' };
		const edit = { ...opened, name: 'Run 9', 'feed-gross': '6', strokeLengthMm: '15' };
		const first = mergeEdit(edit, now, runGroup);
		expect(first.clashes).toEqual([
			{ field: 'name', message: expect.stringContaining('“Run 8”') },
			// a weight is not put together from two
			{ field: 'feed-unit', message: expect.stringContaining('“lb”') },
		]);
		expect(first.typed).toMatchObject({ name: 'Run 9', 'feed-gross': '6', 'feed-unit': 'kg' });
		const second = mergeEdit(first.typed, now, runGroup);
		expect(second.clashes).toEqual([]);
		expect(second.typed).toMatchObject({ name: 'Run 9', 'feed-gross': '6', 'feed-unit': 'kg' });
	});

	test('does not take away a weight that was put in meanwhile', () => {
		const now = { gross: '5', tare: '', unit: 'kg', moistureKind: 'dry' };
		const left = { gross: '', tare: '', unit: 'kg', moistureKind: 'dry', seen: '{}' };
		expect(mergeEdit(left, now, () => 'weighing').clashes).toMatchObject([{ field: 'gross' }]);
		expect(mergeEdit({ ...left, gross: '5' }, now, () => 'weighing').clashes).toEqual([]);
	});

	test('keeps a mass and its unit together', () => {
		const lot = { receivedMass: '5', receivedUnit: 'kg' };
		const { clashes } = mergeEdit(
			{ receivedMass: '6', receivedUnit: 'kg', seen: JSON.stringify(lot) },
			{ receivedMass: '5', receivedUnit: 't' },
			lotGroup,
		);
		expect(clashes).toHaveLength(1);
	});
});

describe('what a form does not ask for', () => {
	test('of a weighing stays as a file brought it', () => {
		const moisture = { kind: 'fraction', fraction: 0.04, u: 0.02 } as const;
		const earlier = { gross: 5, repeatability: '0.02', moisture };
		const entered = { gross: '5.1', moisture: { kind: 'fraction', fraction: '4 %' } } as const;
		expect(withUnasked(entered, earlier)).toEqual({
			...entered,
			repeatability: '0.02',
			moisture: { ...entered.moisture, u: 0.02 },
		});
		const other = { gross: '5.1', moisture: { kind: 'fraction', fraction: '6 %' } } as const;
		expect(withUnasked(other, earlier)?.moisture).toEqual(other.moisture);
		expect(withUnasked({ gross: '5.1' }, earlier)).toEqual({ gross: '5.1', repeatability: '0.02' });
		expect(withUnasked({ gross: '5.1' }, earlier, false)?.moisture).toEqual(moisture);
		expect(withUnasked(undefined, earlier)).toBeUndefined();
	});

	test('of a run’s feed stays: other components, scales, the loss’s water', () => {
		const feed = {
			grade: { copper: { value: 0.04, u: 0.01 }, aluminium: { value: 0.02, u: 0.01 } },
			scales: { hanging: 0.002 },
			loss: { gross: '1 kg', moisture: { kind: 'fraction', fraction: '50 %' } } as const,
		};
		const run = { name: 'Run', runDate: '2026-03-05', settings: {}, feed, notes: '', material: 'Mixed cable waste' };
		const { entry, fields } = readRunForm(typedRun(run));
		expect(fields.problems).toEqual([]);
		expect(withUnaskedFeed(entry, feed).feed).toMatchObject(feed);
		const { copper: _, ...others } = feed.grade;
		const emptied = readRunForm({ ...typedRun(run), feedCopper: '', feedCopperU: '' }).entry;
		expect(withUnaskedFeed(emptied, feed).feed.grade).toEqual(others);
	});

	test('a feed grade can be off by half at most', () => {
		const run = {
			name: 'Run',
			runDate: '2026-03-05',
			material: 'Mixed cable waste',
			'feed-unit': 'kg',
			'loss-unit': 'kg',
		};
		const { fields } = readRunForm({ ...run, feedCopper: '40', feedCopperU: '60' });
		expect(fields.problems).toMatchObject([{ field: 'feedCopperU', message: expect.stringContaining('50 points') }]);
	});
});

describe('mat check', () => {
	const check = (typed: Record<string, string>) => {
		const fields = new FieldReader({ size: 'A5', ...typed });
		return { print: readMatForm({ size: 'A5', ...typed }, fields), problems: fields.problems };
	};

	test('a line as printers make it is taken as it is', () => {
		expect(check({ checkLineMm: '97,5' })).toEqual({ print: { size: 'A5', checkLineMm: 97.5 }, problems: [] });
		expect(check({ checkLineMm: '90' }).problems).toEqual([]);
	});

	test('a line far off is asked about once, and taken where the whole sheet came out so', () => {
		expect(check({ checkLineMm: '140' }).problems).toEqual([
			{ field: 'isOtherSize', message: expect.stringMatching(/^A line of 140\.0 mm is 40 % longer than drawn/) },
		]);
		expect(check({ checkLineMm: '71' }).problems[0]?.message).toMatch(/29 % shorter/);
		expect(check({ checkLineMm: '140', isOtherSize: 'yes' })).toMatchObject({
			print: { checkLineMm: 140 },
			problems: [],
		});
	});

	test('nothing measured, or no length at all, is told at the line alone', () => {
		expect(check({}).problems).toMatchObject([{ field: 'checkLineMm' }]);
		expect(check({ checkLineMm: '9.7' }).problems).toMatchObject([{ field: 'checkLineMm' }]);
	});
});
