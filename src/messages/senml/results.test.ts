import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { findingOf, studyOf } from '../../../test/study-fixture.ts';
import type { WellNow } from '../../model/well-now.ts';
import { resolvePack } from './resolve.ts';
import { resultsPack } from './results.ts';

const page = readFileSync(new URL('../../../docs/formats/results.md', import.meta.url), 'utf8');
const example = JSON.parse(/```json\n([\s\S]*?)```/.exec(page)![1]!);

const nothing: WellNow = {
  schema: 1,
  well: 'ridge-house',
  at: null,
  lastReading: null,
  silence: null,
  replay: null,
  clocks: [],
  pressurePaGauge: null,
  currentA: null,
  pump: { on: null, since: null },
  flowM3PerS: null,
  flowM3PerSStd: null,
  day: null,
  findings: [],
  test: null,
  unknown: [],
};

const [dayOf] = studyOf({}).days;
const everything: WellNow = {
  ...nothing,
  at: '2026-04-06T14:15:00.000Z',
  silence: { since: '2026-04-06T14:00:00.000Z', forS: 900, usualS: 300, urgency: null },
  replay: { at: '2026-04-06T09:00:00.000Z' },
  clocks: [
    {
      device: 'urn:dev:mac:0024befffe804ff1',
      since: '2026-04-06T13:00:00.000Z',
      behindS: 3600,
      apartUntil: '2026-04-06T13:00:00.000Z',
    },
  ],
  pressurePaGauge: 331_000,
  currentA: 0.04,
  pump: { on: false, since: '2026-04-06T14:02:10.000Z' },
  flowM3PerS: 0.00009,
  flowM3PerSStd: 0.00002,
  day: { ...dayOf!, pumpingLevelM: 38, pumpingLevelMStd: 3, open: true },
  findings: [findingOf({ id: 'finding-3' })],
  test: {
    what: 'fill',
    start: '2026-04-06T14:20:00.000Z',
    stop: '2026-04-06T14:30:00.000Z',
    needsS: 5,
    getsS: 20,
    fastEnough: false,
  },
  unknown: [{ field: 'flowM3PerS', because: 'it takes two pressures that follow each other' }],
};

/** A name as the table of the page has it. */
const inTable = (name: string): string =>
  name
    .replace('wells/ridge-house/results/', '')
    .replace(/\/std$/, '')
    .replace(/^finding\/finding-\d+/, 'finding/<id>')
    .replace(/^test\/\w+/, 'test/<test>')
    .replace(/^clock\/\d+/, 'clock/<n>')
    .replace(/^unknown\/.*/, 'unknown/<field>');

describe('results as SenML', () => {
  it('are records of RFC 8428, all of one instant', () => {
    const { records, issues } = resolvePack(resultsPack(everything));
    expect(issues).toEqual([]);
    expect(records.length).toBeGreaterThan(25);
    expect(new Set(records.map(({ timeS }) => timeS))).toEqual(new Set([1_775_484_900]));
    const names = records.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    // Units of RFC 8428, section 12.1.
    const units = new Set(records.map(({ unit }) => unit).filter((unit) => unit !== null));
    for (const unit of units)
      expect(['Pa', 'A', 'm3/s', 'm3', 'm', 's', 'J', '/', 'count']).toContain(unit);
  });

  it('leave out what is not known, and say why', () => {
    expect(resultsPack(nothing)).toEqual([
      { bn: 'wells/ridge-house/results/', n: 'findings', u: 'count', v: 0 },
    ]);
    const pack = resultsPack(everything);
    expect(pack.at(-1)).toEqual({
      n: 'unknown/flowM3PerS',
      vs: 'it takes two pressures that follow each other',
    });
  });

  it('are those of the page: its example holds, and its table names every record', () => {
    const { records, issues } = resolvePack(example);
    expect(issues).toEqual([]);
    const rows = page.split('\n').filter((line) => line.startsWith('| `'));
    const parts = rows.map((row) =>
      [...row.split('|')[1]!.matchAll(/`([^`]+)`/g)].map((m) => m[1]!),
    );
    const listed = parts.flatMap((names) =>
      names.map((name) => name.replace('…', names[0]!.slice(0, names[0]!.lastIndexOf('/')))),
    );
    const ours = resolvePack(resultsPack(everything)).records.map(({ name }) => inTable(name));
    expect(new Set(ours)).toEqual(new Set(listed));
    for (const { name } of records) expect(listed).toContain(inTable(name));
    const own = resultsPack({ ...everything, currentA: null });
    for (const [i, record] of example.slice(0, 5).entries()) expect(own[i]).toEqual(record);
  });
});
