import { expect, it } from 'vitest';
import { wellOf } from '../../test/study-fixture.ts';
import type { BookEntry } from '../model/book.ts';
import type { ResetKind, ServiceRecord } from '../model/well.ts';
import { reminders } from './reminders.ts';

const said = (date: string) => `${date}T00:00:00.000Z`;
const at = (date: string) => Date.parse(said(date)) / 1000;
const service = (date: string, ...resets: ResetKind[]): ServiceRecord => ({
  ...{ onS: at(date), did: 'work', resets, now: {} },
});
const sample = (date: string): BookEntry => ({
  id: `note-${date}`,
  kind: 'note',
  at: `${date}T12:00:00Z`,
  act: {
    ...{ what: 'noted', by: 'Keeper', on: `${date}T00:00:00Z`, about: 'water-sample' },
    ...{ says: '', photos: [] },
  },
});
const dueOf = (name: string, ...of: Parameters<typeof reminders>) =>
  reminders(...of).find((one) => one.name === name);

it('an empty book reminds of nothing that it knows no date of', () => {
  for (const { last, due } of reminders(wellOf(), [])) expect([last, due]).toEqual([null, null]);
});

it('each comes round a year after the latest that the book has', () => {
  const precharge = (date: string) => ({
    ...{ kind: 'precharge_test' as const, startS: at(date), stopS: at(date), measured: {} },
  });
  const otherTests = [precharge('2026-05-01'), precharge('2025-05-01')];
  const air = dueOf('air-charge', wellOf({ otherTests }), []);
  expect(air).toMatchObject({ last: said('2026-05-01'), due: said('2027-05-01') });
  const tank = wellOf({ otherTests, services: [service('2026-06-01', 'tank')] });
  expect(dueOf('air-charge', tank, [])?.last).toBe(said('2026-06-01'));
  const water = dueOf('water-sample', wellOf(), [sample('2026-03-01'), sample('2025-03-01')]);
  expect(water).toMatchObject({ due: said('2027-03-01'), opened: false });
});

it('water is sampled once well, pump or plumbing was open, whenever it was sampled before', () => {
  for (const part of ['well', 'pump', 'plumbing', 'tank', 'pressure-sensor'] as const) {
    const well = wellOf({ services: [service('2026-06-01', part)] });
    const due = dueOf('water-sample', well, [sample('2026-05-01')]);
    expect(due).toMatchObject({ due: said('2026-06-01'), opened: true });
    expect(dueOf('water-sample', well, [sample('2026-06-02')])?.opened).toBe(false);
  }
  const dry = wellOf({ services: [service('2026-06-01', 'current-sensor')] });
  expect(dueOf('water-sample', dry, [sample('2026-05-01')])?.opened).toBe(false);
});

it('a calibration that ended with its sensor does not count', () => {
  const calibration = { sensor: null, raw: 'V' as const, points: [], channel: 'pressure' as const };
  const calibrations = [
    { ...calibration, fromS: at('2026-01-01'), untilS: at('2026-02-01') },
    { ...calibration, fromS: at('2025-07-01'), untilS: null },
  ];
  const due = dueOf('calibration', wellOf({ calibrations }), []);
  expect(due).toMatchObject({ last: said('2025-07-01'), due: said('2026-07-01') });
});

it('a calibration that mends the past was made when it was written, not from when it holds', () => {
  const calibration = { sensor: null, raw: 'V' as const, points: [], untilS: null };
  const fromS = at('2024-01-01');
  const calibrations = [{ ...calibration, channel: 'pressure' as const, fromS }];
  const added = (date: string, values: object, failed?: string): BookEntry => ({
    ...{ id: date, kind: 'calibration', at: said(date) },
    act: {
      ...{ what: 'added', by: 'Keeper', table: 'calibration', from: '', to: '' },
      ...{ values: { from: said('2024-01-01'), channel: 'pressure', ...values } },
      ...(failed !== undefined && { failed }),
    },
  });
  const entries = [
    ...[added('2024-01-02', {}), added('2026-04-01', {})],
    added('2026-05-01', {}, 'the disk is full'),
    ...[
      added('2026-06-01', { channel: 'current' }),
      added('2026-07-01', { from: said('2020-01-01') }),
    ],
  ];
  const due = dueOf('calibration', wellOf({ calibrations }), entries);
  expect(due).toMatchObject({ last: said('2026-04-01'), due: said('2027-04-01') });
});
