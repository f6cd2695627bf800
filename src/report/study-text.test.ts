import { describe, expect, it } from 'vitest';
import {
  dayOf,
  emptyStudy,
  findingOf,
  flat,
  gal,
  psi,
  relativeStudy,
  runOf,
  studyOf,
  wellOf,
} from '../../test/study-fixture.ts';
import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../model/cautions.ts';
import { OWNER_TESTS, stepsInWords } from '../model/owner-tests.ts';
import type { Study, TestName } from '../model/study.ts';
import { TEXT_WIDTH } from './layout.ts';
import { studyText } from './study-text.ts';

/** Lines of one section. */
function sectionOf(text: string, title: string): string {
  const after = text.split(`\n${title}\n${'='.repeat(title.length)}\n`)[1];
  expect(after, `a section called ${title}`).toBeDefined();
  return after?.split(/\n\n[^\n ]+[^\n]*\n=+\n/)[0] ?? '';
}

const manyDays = () =>
  Array.from({ length: 20 }, (_, i) =>
    dayOf({
      date: `2026-04-${String(i + 1).padStart(2, '0')}`,
      usedM3: gal(100 + 10 * i),
      starts: 10 + i,
    }),
  );

const manyRuns = () =>
  Array.from({ length: 40 }, (_, i) => {
    const start = Date.UTC(2026, 3, 1 + (i >> 1), 12 + (i % 2), 5);
    return runOf({
      start: new Date(start).toISOString(),
      stop: new Date(start + 90_000).toISOString(),
    });
  });

const wide = () =>
  studyOf({
    days: [
      dayOf({
        usedM3: gal(12_345.6),
        usedM3Std: gal(61),
        lossM3: gal(1234.5),
        lossM3Std: gal(61),
        pumpedM3: gal(13_345.6),
        pumpedM3Std: gal(61),
        energyJ: 128.44 * 3.6e6,
        energyJStd: 0.61 * 3.6e6,
        cost: 121.834,
        costStd: 0.061,
        levelDropM: 42.18,
        levelDropMStd: 0.19,
      }),
    ],
    runs: [
      runOf({
        pumpedM3: gal(12_345.6),
        pumpedM3Std: gal(61),
        begun: 'gap',
        ended: 'tripped',
        breaks: 12,
        foundBy: 'pressure',
      }),
    ],
  });

const samples: [string, string][] = [
  ['a plain study', studyText(studyOf(), wellOf())],
  ['in SI', studyText(studyOf(), wellOf({ units: 'si' }))],
  ['relative', studyText(relativeStudy(), wellOf())],
  ['nothing known', studyText(emptyStudy(), wellOf())],
  ['a finding', studyText(studyOf({ findings: [findingOf()] }), wellOf())],
  ['wide figures', studyText(wide(), wellOf())],
  ['wide figures in SI', studyText(wide(), wellOf({ units: 'si' }))],
  ['many days', studyText(studyOf({ days: manyDays(), runs: manyRuns() }), wellOf())],
];

describe.each(samples)('%s', (_, text) => {
  it('keeps to the width of a terminal', () => {
    const lines = text.split('\n');
    expect(lines.length).toBeGreaterThan(15);
    for (const line of lines) expect(line.length, line).toBeLessThanOrEqual(TEXT_WIDTH);
    expect(text).not.toMatch(/[ \u00a0]$/m);
    expect(text).not.toMatch(/NaN|undefined|null|Infinity|\u00a0/);
  });
  it('ends a value where its uncertainty ends, with two digits of that at most', () => {
    for (const [pair, value = '', spread = ''] of text.matchAll(/(-?[\d,.]+) ?± ?([\d,.]+)/g)) {
      const decimals = (figure: string) => figure.split('.')[1]?.length ?? 0;
      expect(decimals(value), pair).toBe(decimals(spread));
      const digits = spread.replaceAll(/[.,]/g, '').replace(/^0+/, '');
      expect(digits, pair).toMatch(/^(1\d|\d)0*$/);
      // The last place of the ±: its first digit, or its second where the first is 1.
      const place = 10 ** (digits.length - (digits.startsWith('1') ? 2 : 1));
      expect(Number(value.replaceAll(/[.,]/g, '')) % Math.max(place, 1), pair).toBe(0);
    }
  });
  it('ends with what the tool is not', () => {
    expect(flat(text).trim().endsWith(CAUTIONS['advisory-only'])).toBe(true);
  });
});

describe('a healthy well with a bucket test', () => {
  const text = studyText(studyOf(), wellOf());
  it('says first whether there is water, what to do and what to trust', () => {
    const head = flat(sectionOf(text, 'In short'));
    expect(head).toContain(
      'Yes: the last whole run reached cut-out (60.1 psi) on 2026-04-06 06:14.',
    );
    expect(head).toContain('Nothing in this log asks for you.');
    // 2 x 1000 / 110 000 = 1.8 %
    expect(head).toContain('Volumes rest on the bucket test, good to ± 1.8 %.');
    expect(head).toContain('35,280 used, 15 set aside (3 sent twice, 12 stuck at one value).');
    // 24.5 h over 17 640 readings, and twice 0.3 s
    expect(head).toContain('One pressure reading every 5 s');
    expect(head).toContain('good to ± 0.6 s.');
  });
  it('prints the day in trade units with what is known of it', () => {
    const row = sectionOf(text, 'Day by day')
      .split('\n')
      .find((line) => line.includes('2026-04-06'));
    // Twice the standard uncertainty: 4.2, 3.2, 4.8 gal, 0.28 kWh, 2.6 ft, 2.2 %.
    expect(row?.trim().split(/ {2,}/)).toEqual([
      '2026-04-06',
      '182 ± 4',
      '12 ± 3',
      '197 ± 5',
      '14',
      '1:02',
      '2.9 ± 0.3',
      '0.50',
      '14 ± 3',
      '98 ± 2',
    ]);
  });
  it('prints the run in the time of the well', () => {
    const row = sectionOf(text, 'Pump runs')
      .split('\n')
      .find((line) => line.includes('2026-04-06'));
    expect(row?.trim().split(/ {2,}/)).toEqual([
      '2026-04-06',
      '06:12:31',
      '06:14:02',
      '39.8',
      '60.1',
      '8.3',
      '11.2 ± 0.3',
    ]);
  });
  it('names the largest draw, not the fastest or the last', () => {
    expect(flat(sectionOf(text, 'Draws'))).toContain(
      '2 in all. The largest: 15.8 ± 0.4 gal, 2026-04-06 07:00 to 2026-04-06 07:07, up to 2.3 gpm.',
    );
  });
  it('tells level, pump and energy against the floor', () => {
    const condition = flat(sectionOf(text, 'Level and pump'));
    expect(condition).toContain('14 ± 3 ft below the rested level');
    expect(condition).toContain(
      'Pumping level not known: have the level sounded (no static level stands in the well file)',
    );
    // 1.5e-4 m2/s = 0.725 gpm/ft; 1.42e7 J/m3 = 14.9 kWh/kgal; 14.2 / 4.1 = 3.5
    expect(condition).toContain('0.72 ± 0.19 gpm/ft');
    expect(condition).toContain('14.9 ± 1.5 kWh/kgal');
    expect(condition).toContain('so 3.5 times the floor');
  });
  it('tells what the pump delivers and how fast the well recovers', () => {
    const point = { pressurePaGauge: psi(40), currentA: 8.27, currentAStd: 0.05 };
    const study = studyOf({
      // 10 gpm = 6.309e-4 m3/s
      pump: [{ ...point, deliveryM3PerS: 6.309e-4, deliveryM3PerSStd: 6.309e-6 }],
      recovery: {
        specificCapacityM2PerS: null,
        specificCapacityM2PerSStd: null,
        recoveryS: 900,
        recoverySStd: 100,
      },
    });
    const told = flat(sectionOf(studyText(study, wellOf()), 'Level and pump'));
    expect(told).toContain('Recovery by two thirds within 15 ± 3 min of a stop.');
    expect(told).toContain('Pump delivers 10.00 ± 0.20 gpm at 40.0 psi, taking 8.27 ± 0.10 A.');
  });
  it('never prints a level or recovery that is not told from none as if it were measured', () => {
    const study = studyOf({
      days: [dayOf({ levelDropM: 0.9, levelDropMStd: 0.8 })],
      pump: [],
      recovery: {
        specificCapacityM2PerS: null,
        specificCapacityM2PerSStd: null,
        recoveryS: 60,
        recoverySStd: 50,
      },
      unknown: [{ field: 'pump', because: 'too few runs', test: 'fill' }],
    });
    const told = flat(sectionOf(studyText(study, wellOf()), 'Level and pump'));
    // 0.9 + 1.96 x 0.8 = 2.47 m = 8 ft; 60 + 1.96 x 50 = 158 s = 2.6 min
    expect(told).toContain('Level drop not told from none: at most 8 ft');
    expect(told).toContain('The recovery test tells more');
    expect(told).not.toContain('3.0 ±');
    expect(told).toMatch(/Recovery by two thirds within 2\.6 min of a stop, at most/);
    expect(told).toMatch(/Pump delivers not known: do the .*\(too few runs\)/);
  });
  it('repeats what the study tells of log and file', () => {
    expect(text).toContain('The log has one gap of 12 minutes.');
  });
});

describe('SI units', () => {
  const text = studyText(studyOf(), wellOf({ units: 'si' }));
  it('are used throughout', () => {
    expect(text).toContain('690 ± 16');
    expect(text).toContain('274      414');
    expect(text).toContain('4.2 ± 0.8 m below');
    expect(text).not.toMatch(/\b(gal|gpm|psi|ft|kgal)\b/);
  });
});

describe('without a scale', () => {
  const text = studyText(relativeStudy(), wellOf());
  it('counts in tank drawdowns, says so and asks for the bucket test', () => {
    expect(flat(text)).toContain('Volumes are not known: do the bucket test.');
    expect(text).toContain('drawdowns');
    expect(sectionOf(text, 'Day by day')).toMatch(/2026-04-06 +16\.2 ± 0\.3 +1\.11 ± 0\.18 /);
    expect(sectionOf(text, 'Pump runs')).toContain('1.02 ± 0.02');
    expect(flat(text)).toContain('The largest: 1.43 ± 0.04 drawdowns');
    expect(flat(text)).toContain('Water used not known: do the bucket test');
    for (const { says } of OWNER_TESTS.bucket.steps) expect(flat(text)).toContain(says);
  });
  it('prints no gallon', () => {
    expect(text).not.toMatch(/\bgal\b/);
  });
});

describe('a scale lost on the way', () => {
  it('keeps the units of what is known and says since when it is not', () => {
    const text = studyText(
      studyOf({
        scale: [
          ...studyOf().scale,
          ...relativeStudy().scale.map((s) => ({ ...s, from: '2026-04-07T06:00:00Z' })),
        ],
        days: [dayOf(), { ...dayOf(), date: '2026-04-07', usedM3: null, usedM3Std: null }],
      }),
      wellOf(),
    );
    expect(flat(text)).toContain(
      'Since 2026-04-07 00:00 volumes are not known: do the bucket test',
    );
    expect(sectionOf(text, 'Day by day')).toMatch(/2026-04-07 +- +12 ± 3 /);
    expect(flat(text)).toContain(
      'Total of 2 days: used 182 ± 4 gal (known on 1 of 2 days), lost 25 ± 6 gal,',
    );
  });
});

describe('a scale from the nameplate', () => {
  it('brings the bucket test with its cautions', () => {
    const scale = studyOf().scale.map((s) => ({ ...s, basis: 'nameplate' as const }));
    const text = flat(studyText(studyOf({ scale, unknown: [] }), wellOf()));
    expect(text).toContain('nameplate of the tank, good to ± 1.8 %; the bucket test would narrow');
    for (const { says } of OWNER_TESTS.bucket.steps) expect(text).toContain(says);
    for (const id of ACT_CAUTIONS.bucket) expect(text).toContain(CAUTIONS[id]);
  });
});

describe('nothing known', () => {
  const text = studyText(emptyStudy(), wellOf());
  it('says so instead of printing zeros', () => {
    expect(flat(text)).toContain('This log cannot say: it holds no whole pump run.');
    expect(text).toContain('No pump run is in this log.');
    expect(text).toContain('No day is closed in this log.');
    expect(text).toMatch(/Pump index +not known/);
    expect(text).toContain('none set aside.');
  });
});

describe('findings', () => {
  const finding = findingOf();
  const text = studyText(studyOf({ findings: [finding] }), wellOf());
  it('are told in full: state, evidence, what else, the test, what to do, how long', () => {
    const told = flat(sectionOf(text, 'Findings'));
    expect(told).toContain('1. Today: the tank has lost its air (waterlogged).');
    expect(told).toContain('Belief 91 %. Since 2026-04-06 03:10');
    // Both to the place of twice the standard uncertainty, 7.8 s.
    expect(told).toContain('Found 4 s, expected 62 ± 8 s.');
    expect(told).toContain('the precharge of the tank is low 7 %, something');
    expect(told).toContain(stepsInWords('precharge'));
    expect(told).toContain(finding.action);
    expect(told).toContain('Until tonight, not longer.');
  });
  it('put the most urgent first and into the head', () => {
    const many = [findingOf({ fault: 'switch-drift', urgency: 'weeks' }), finding];
    const head = flat(sectionOf(studyText(studyOf({ findings: many }), wellOf()), 'In short'));
    expect(head).toMatch(/Today: the tank has lost its air.*Within weeks: the pressure switch/);
    expect(head).not.toContain('Nothing in this log asks for you');
  });
  it('that are over ask for nothing', () => {
    const over = findingOf({ cleared: '2026-04-06T20:00:00Z' });
    const told = flat(studyText(studyOf({ findings: [over] }), wellOf()));
    expect(told).toContain('Over: the tank has lost its air');
    expect(told).toContain('over since 2026-04-06 14:00');
    expect(told).toContain('Nothing in this log asks for you.');
    expect(told).not.toContain(over.action);
  });
  it('of a sensor put the numbers in doubt, of a dry pump the water', () => {
    const sensor = findingOf({ fault: 'current-clamp-off', urgency: 'days' });
    const dry = findingOf({ fault: 'running-dry', urgency: 'now' });
    const told = flat(studyText(studyOf({ findings: [sensor, dry] }), wellOf()));
    expect(told).toContain('Trust In doubt: the current clamp does not see the pump.');
    expect(told).toContain('Water In doubt: the pump runs dry.');
  });
  it('show SI evidence in the units of the well, and never full certainty', () => {
    const leak = findingOf({
      fault: 'leak-house',
      probability: 0.999,
      instead: [{ fault: 'unknown-trouble', probability: 0.001 }],
      evidence: [
        {
          says: 'Pressure fell at rest.',
          observed: psi(4.13),
          expected: psi(0.2),
          expectedStd: psi(0.15),
          unit: 'Pa',
        },
        {
          says: 'the pump took no current',
          observed: 0.3,
          expected: null,
          expectedStd: null,
          unit: 'A',
        },
        { says: 'It went on.', observed: 3, expected: null, expectedStd: null, unit: 'nights' },
      ],
    });
    const told = flat(studyText(studyOf({ findings: [leak] }), wellOf()));
    expect(told).toContain('Found 4.1 psi, expected 0.2 ± 0.3 psi.');
    expect(told).toContain('Seen The pump took no current. Found 0.30 A.');
    expect(told).toMatch(/It went on\. Found 3(\.00)? nights\./);
    expect(told).toContain('Belief over 99 %');
    expect(told).toContain('Or else nothing else is in question.');
  });
});

describe('what can be known', () => {
  it('of a finding that looks like others from here is said beside it, while it stands', () => {
    const says = 'A waterlogged tank looks the same from here as a tank shut off from the line.';
    const alike = { faults: ['tank-isolated'], says };
    const told = (parts: Parameters<typeof findingOf>[0]) =>
      flat(studyText(studyOf({ findings: [findingOf(parts)] }), wellOf()));
    expect(told({ alike })).toContain(`Alike ${says}`);
    expect(told({ alike, cleared: '2026-04-06T20:00:00Z' })).not.toContain(says);
  });
  it('is a sentence of its own where faults cannot be judged', () => {
    const because =
      "the start circuit can't be judged from these channels: it takes the channel start-time";
    const unknown = [{ field: 'findings', because, test: null }];
    const told = flat(studyText(studyOf({ unknown }), wellOf()));
    expect(told).toContain("The start circuit can't be judged from these channels");
    expect(told).not.toContain('not known (the start circuit');
  });
});

describe('cautions', () => {
  const shownIn = (text: string) =>
    (Object.keys(CAUTIONS) as CautionId[]).filter((id) => flat(text).includes(CAUTIONS[id]));
  const always = ACT_CAUTIONS['read-results'];
  const tests = Object.keys(OWNER_TESTS) as TestName[];
  const expectShown = (study: Study, ids: readonly CautionId[]) => {
    const shown = shownIn(studyText(study, wellOf()));
    expect(shown.toSorted()).toEqual([...new Set([...ids, ...always])].toSorted());
  };

  it.each(tests)('of the act stand beside a %s asked for, and no others', (test) => {
    const unknown = [{ field: 'days.pumpIndex', because: 'it was never measured', test }];
    expectShown(studyOf({ unknown }), ACT_CAUTIONS[test]);
    const finding = findingOf({ nextTest: test, cautions: [] });
    expectShown(studyOf({ findings: [finding], unknown: [] }), ACT_CAUTIONS[test]);
  });
  it('that a finding names are spelled out, those of its test with them', () => {
    const finding = findingOf({ nextTest: null, cautions: ['thaw-gently', 'generator-outdoors'] });
    expectShown(studyOf({ findings: [finding], unknown: [] }), [
      'thaw-gently',
      'generator-outdoors',
    ]);
  });
});

describe('long logs', () => {
  const study = studyOf({ days: manyDays(), runs: manyRuns() });
  it('show the last days and runs and how to see all', () => {
    const text = studyText(study, wellOf());
    expect(text).toContain('The last 14 of 20 days; --days 20 shows them all.');
    expect(text).toContain('The last 25 of 40 runs; --days 21 shows them all.');
    expect(sectionOf(text, 'Day by day')).not.toContain('2026-04-06');
    expect(sectionOf(text, 'Day by day')).toContain('2026-04-07');
  });
  it('show every run of the days asked for', () => {
    const text = studyText(
      { ...study, span: { ...study.span, to: '2026-04-21T05:00:00Z' } },
      wellOf(),
      {
        days: 2,
      },
    );
    const runs = sectionOf(text, 'Pump runs');
    expect(runs.match(/:\d\d:\d\d +\d\d:/g)).toHaveLength(4);
    expect(runs).toContain('2026-04-19');
    expect(text).toContain('The last 4 of 40 runs');
    const all = studyText(study, wellOf(), { days: 21 });
    expect(all).not.toContain('shows them all');
  });
  it('add up all days and name the typical one', () => {
    const days = flat(sectionOf(studyText(study, wellOf()), 'Day by day'));
    // Sum of 100, 110 ... 290 = 3900 gal; 20 x 2 x 2.1 = 84 gal; starts 10 + ... + 29 = 390.
    expect(days).toContain('Total of 20 days: used 3,900 ± 80 gal');
    expect(days).toContain('390 starts');
    // Median 195 gal, 19.5 starts.
    expect(days).toMatch(/Typical day \(median of the whole days\): used 195 ± 4 gal/);
  });
  it('refuse a number of days that is none', () => {
    expect(() => studyText(study, wellOf(), { days: 0 })).toThrow('whole number');
  });
});

describe('marks', () => {
  it('tell what was not plain about a run', () => {
    const text = flat(
      sectionOf(
        studyText(
          studyOf({
            runs: [
              runOf({ begun: 'gap', ended: 'tripped', breaks: 3, foundBy: 'pressure' }),
              runOf({ ended: 'log-end', stop: null, stopStdS: null }),
            ],
          }),
          wellOf(),
        ),
        'Pump runs',
      ),
    );
    expect(text).toContain('begin not recorded;');
    expect(text).toContain('3 breaks;');
    expect(text).toContain('log ends');
  });
  it('round an instant known badly to the minute', () => {
    const text = studyText(studyOf({ runs: [runOf({ startStdS: 17, stopStdS: 17 })] }), wellOf());
    expect(text).toMatch(/2026-04-06 {2}06:13 {2}06:14 /);
  });
  it('show a day seen in part', () => {
    const text = studyText(studyOf({ days: [dayOf({ coveredS: 40_000 })] }), wellOf());
    expect(text).toContain('2026-04-06*');
    expect(flat(text)).toContain('* only part of the day was recorded');
  });
  it('say that the last run did not end well', () => {
    const text = flat(studyText(studyOf({ runs: [runOf({ ended: 'stalled' })] }), wellOf()));
    expect(text).toContain('In doubt: the last run, begun 2026-04-06 06:13, stalled.');
  });
});
