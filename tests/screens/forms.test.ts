import { describe, expect, test } from 'vitest';
import { readLotForm } from '@/app/_forms/lotForm';
import { FieldReader } from '@/app/_forms/readFields';
import { readReadingForm } from '@/app/_forms/readingForm';
import { readRunForm, typedRun } from '@/app/_forms/runForm';
import { readWeighingForm, typedWeighing } from '@/app/_forms/weighingForm';

const weigh = (typed: Record<string, string>) => {
  const fields = new FieldReader({ unit: 'kg', moistureKind: 'dry', ...typed });
  const weighing = readWeighingForm({ unit: 'kg', moistureKind: 'dry', ...typed }, fields);
  return { weighing, problems: fields.problems };
};

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

  test('a weighing comes back into the form as it was typed', () => {
    const typed = { gross: '5,07', tare: '0.78', unit: 'lb', moistureKind: 'fraction', moisturePercent: '3.5' };
    const { weighing } = weigh(typed);
    expect(typedWeighing(weighing)).toMatchObject(typed);
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
  });
});
