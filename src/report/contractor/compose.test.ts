import { describe, expect, it } from 'vitest';
import { dayOf, findingOf, gal, psi, runOf, studyOf, wellOf } from '../../../test/study-fixture.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import type { RunEntry, Study } from '../../model/study.ts';
import type { Well } from '../../model/well.ts';
import { figuresOf } from '../figures.ts';
import { cautionsOf } from '../findings-text.ts';
import { overlayCharts, overlayNote } from './charts.ts';
import { contractorSheet } from './compose.ts';
import type { Block, Sheet } from './sheet.ts';
import { thenNow } from './spans.ts';

const at = (hours: number) => new Date(Date.UTC(2026, 3, 6) + hours * 3_600_000).toISOString();
/** A run every hour, each of so many minutes. */
const runs = (count: number, of: (i: number) => Partial<RunEntry>): RunEntry[] =>
  Array.from({ length: count }, (_, i) => runOf({ start: at(i), stop: at(i + 1 / 60), ...of(i) }));
const span = { ...studyOf().span, from: at(0), to: at(400) };

function sheetOf(study: Partial<Study>, well: Partial<Well> = {}): Sheet {
  return contractorSheet({
    study: studyOf({ span, ...study }),
    well: wellOf({ timeZone: 'UTC', ...well }),
    ...{ overlaid: { now: null, past: [] }, complaint: '', by: '', made: at(401) },
    data: [{ name: 'log.csv', what: 'readings', sha256: 'a'.repeat(64) }],
  });
}
const blocksOf = (sheet: Sheet, title: string): Block[] =>
  [...sheet.parts, ...sheet.lookUp].find((part) => part.title === title)?.blocks ?? [];
const rowsOf = (sheet: Sheet) => {
  const table = blocksOf(sheet, 'Now against then').find((block) => block.kind === 'table');
  return new Map(
    table?.rows.map(([name, ...cells]) => [
      name,
      cells.map((one) => one.replaceAll('\u00a0', ' ')),
    ]),
  );
};

it('tells the calibration in force, and none that ended with its sensor', () => {
  const points = Array.from({ length: 3 }, (_, raw) => ({ raw, reference: raw, referenceStd: 1 }));
  const one = { sensor: null, raw: 'V' as const, channel: 'pressure' as const, points };
  const unix = (hours: number) => Date.parse(at(hours)) / 1000;
  const told = (...spans: [fromS: number, untilS: number | null][]) => {
    const calibrations = spans.map(([fromS, untilS]) => ({ ...one, fromS, untilS }));
    return JSON.stringify(blocksOf(sheetOf({}, { calibrations }), 'Sensors and record'));
  };
  expect(told([unix(24), null])).toContain('by a calibration of 3 points since 2026-04-07');
  expect(told([unix(24), null], [unix(0), unix(9)])).toContain('since 2026-04-07');
  expect(told([unix(0), unix(9)])).toContain('pressure: as the device sends it');
});

it('shows of a run that went on for hours the beginning, beside those of then', () => {
  const trace = (minutes: number) => {
    const points = Array.from({ length: minutes * 6 }, (_, i) => ({ atS: 10 * i, value: psi(50) }));
    return { run: runOf(), pressure: points, current: points };
  };
  const past = Array.from({ length: 5 }, () => trace(2));
  const of = (minutes: number) => {
    const overlaid = { now: trace(minutes), past };
    const [pressure] = overlayCharts(overlaid, figuresOf(studyOf(), wellOf()));
    return {
      ends: pressure!.x.greatest,
      note: overlayNote(overlaid, figuresOf(studyOf(), wellOf())),
    };
  };
  // Two minutes of then, less the last ten seconds, four times over.
  expect(of(60).ends).toBe(4 * 110);
  expect(of(60).note).toContain('the beginning of the long run of');
  expect(of(3).ends).toBe(170);
  expect(of(3).note).toContain('the run of');
});

it('leaves out what was seen where it moves no odds', () => {
  const [one] = findingOf().evidence;
  const moves = { fault: findingOf().fault, rival: null, logOverRival: null };
  const evidence = [
    { ...one!, says: 'of no weight', moves: { ...moves, logOverSound: 0.2 } },
    { ...one!, says: 'of weight', moves: { ...moves, logOverSound: 3 } },
  ];
  const shown = JSON.stringify(sheetOf({ findings: [findingOf({ evidence })] }));
  expect(shown.match(/Of weight/g)).toHaveLength(2);
  expect(shown).not.toContain('Of no weight');
  const none = sheetOf({ findings: [findingOf({ evidence: evidence.slice(0, 1) })] });
  expect(JSON.stringify(none)).toContain('Of no weight');
});

describe('now against then', () => {
  it('compares the first ten whole runs with the last ten', () => {
    const cutIn = (i: number) => ({ cutInPaGauge: psi(i < 15 ? 40 : 35) });
    const rows = rowsOf(sheetOf({ runs: runs(30, cutIn), days: [] }));
    expect(rows.get('Cut-in')?.map((cell) => cell.replace(/ ± \S+/, ''))).toEqual([
      '40.0 psi',
      '35.0 psi',
    ]);
    // A minute each, one an hour.
    expect(rows.get('Length of a run')).toEqual(['60 s', '60 s']);
    expect(rows.get('Rest between runs')).toEqual(['59.0 min', '59.0 min']);
  });

  it('tells how far runs lie apart by the median absolute deviation', () => {
    // Middle 40, deviations 2 1 0 1 2 twice over: median 1, so 2 x 1.4826 = 2.97 (by hand).
    const cutIn = (i: number) => ({ cutInPaGauge: psi(38 + (i % 5)) });
    const rows = rowsOf(sheetOf({ runs: runs(20, cutIn), days: [] }));
    expect(rows.get('Cut-in')?.[0]).toBe('40 ± 3 psi');
  });

  it('a day is not surer than one day', () => {
    const days = Array.from({ length: 14 }, (_, i) =>
      dayOf({
        date: `2026-04-${String(i + 6).padStart(2, '0')}`,
        usedM3: gal(100),
        usedM3Std: gal(5),
      }),
    );
    expect(rowsOf(sheetOf({ days })).get('Used a day')).toEqual(['100 ± 10 gal', '100 ± 10 gal']);
  });

  it('lays before and after the last service beside each other while little came after', () => {
    const service = { onS: Date.parse(at(15.5)) / 1000, did: 'new switch', now: {} };
    const cutIn = (i: number) => ({ cutInPaGauge: psi(i < 16 ? 40 : 30) });
    const few = { runs: runs(20, cutIn), days: [] };
    const well = { services: [{ ...service, resets: ['switch' as const] }] };
    const sheet = sheetOf(few, well);
    expect(
      rowsOf(sheet)
        .get('Cut-in')
        ?.map((cell) => cell.slice(0, 4)),
    ).toEqual(['40.0', '30.0']);
    expect(JSON.stringify(sheet)).toContain('Then is before, now is after the last service.');
    // With more after it, both lie after it.
    const many = { runs: runs(40, cutIn), days: [] };
    const later = sheetOf(many, well);
    expect(
      rowsOf(later)
        .get('Cut-in')
        ?.map((cell) => cell.slice(0, 4)),
    ).toEqual(['30.0', '30.0']);
    expect(JSON.stringify(later)).toContain('Then begins after: new switch.');
    // One that ended no baseline parts nothing.
    const plain = wellOf({ timeZone: 'UTC', services: [{ ...service, resets: [] }] });
    expect(thenNow(studyOf({ span, ...many }), plain).service).toBeNull();
  });

  it('has no then of few runs', () => {
    const { past, now } = thenNow(studyOf({ span, runs: runs(3, () => ({})) }), wellOf());
    expect([past.runs.length, now.runs.length]).toEqual([0, 3]);
  });
});

describe('the rest of it', () => {
  it('shows the cautions of what it shows, and no finding without them', () => {
    const findings = [
      findingOf({ id: 'a', fault: 'tank-waterlogged', urgency: 'today' }),
      findingOf({ id: 'b', fault: 'pump-worn', urgency: 'weeks', nextTest: 'throttle' }),
    ];
    const sheet = sheetOf({ findings });
    const shown = blocksOf(sheet, 'Cautions in full').flatMap((one) =>
      one.kind === 'cautions' ? one.items : [],
    );
    for (const id of findings.flatMap(cautionsOf)) expect(shown).toContain(CAUTIONS[id]);
    expect(new Set(shown).size).toBe(shown.length);
  });

  it('asks for what is not measured, and not for what is', () => {
    const readings = { pressure: 9, current: 9, mains: 9, 'current-peak': 9, 'start-time': 9 };
    const all = JSON.stringify(sheetOf({}));
    expect(all).toContain('volts at the pump box');
    expect(all).toContain('start current and its length');
    const measured = JSON.stringify(sheetOf({ span: { ...span, readings } }));
    expect(measured).not.toContain('volts at the pump box');
    expect(measured).not.toContain('start current and its length');
  });

  it('tells what was over lately, and no longer ago', () => {
    const over = (id: string, cleared: string) =>
      findingOf({ id, fault: 'leak-burst', since: at(0), cleared });
    const findings = [over('a', at(300))];
    expect(JSON.stringify(sheetOf({ findings }))).toContain(
      'Over: a pipe has burst, 2026-04-06 to 2026-04-18.',
    );
    const later = { ...span, to: at(24 * 90) };
    expect(JSON.stringify(sheetOf({ findings, span: later }))).not.toContain('Over: ');
  });

  it('has the dot of each day on its paper, of the day cut short at either end, too', () => {
    const days = ['06', '07', '08'].map((day) => dayOf({ date: `2026-04-${day}` }));
    const cut = { ...span, from: '2026-04-06T20:00:00Z', to: '2026-04-08T05:00:00Z' };
    const charts = blocksOf(sheetOf({ days, span: cut }), 'Overlays').flatMap((block) =>
      block.kind === 'charts' ? block.charts : [],
    );
    expect(charts.length).toBeGreaterThan(0);
    for (const { x, dots } of charts) {
      expect(dots).toHaveLength(3);
      for (const dot of dots) {
        expect(dot.x).toBeGreaterThanOrEqual(x.least);
        expect(dot.x).toBeLessThanOrEqual(x.greatest);
      }
    }
  });

  it('leaves room for a complaint, and takes letter or A4 as the units say', () => {
    expect(blocksOf(sheetOf({}), 'Complaint, in the words of the keeper')).toEqual([
      { kind: 'quoted', says: null },
    ]);
    expect(sheetOf({}).paper).toBe('letter');
    expect(sheetOf({}, { units: 'si' }).paper).toBe('a4');
  });
});
