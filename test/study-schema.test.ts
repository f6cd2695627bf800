import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { ACT_CAUTIONS, CAUTIONS } from '../src/model/cautions.ts';
import { FAULT_NAMES } from '../src/model/faults.ts';
import { emptyStudy, findingOf, relativeStudy, runOf, studyOf } from './study-fixture.ts';

const schema = JSON.parse(
  readFileSync(new URL('../docs/formats/study.schema.json', import.meta.url), 'utf8'),
);
const validate = new Ajv2020({ strict: true, strictTypes: false, allErrors: true }).compile(schema);

type Node = Record<string, unknown> | unknown[];

/** The object with one value replaced, or removed where the value is `undefined`. */
function changed(object: unknown, path: string, value: unknown): unknown {
  const copy = structuredClone(object);
  const keys = path.split('.');
  const last = keys.pop() ?? '';
  let node = copy as Node;
  for (const key of keys) node = (node as Record<string, unknown>)[key] as Node;
  if (value === undefined) delete (node as Record<string, unknown>)[last];
  else (node as Record<string, unknown>)[last] = value;
  return copy;
}

const full = () =>
  studyOf({
    findings: [findingOf()],
    runs: [runOf(), runOf({ stop: null, stopStdS: null, ended: 'log-end' })],
  });

describe('accepts', () => {
  it.each([
    ['a study with everything in it', full()],
    ['one without a scale', relativeStudy()],
    ['one that knows nothing', emptyStudy()],
    ['an added field', { ...full(), more: 1 }],
    ['an added field of a day', changed(full(), 'days.0.more', 'x')],
    ['a study without our own added fields', changed(full(), 'told', undefined)],
    ['a run without our own added fields', changed(full(), 'runs.0.foundBy', undefined)],
    ['a day without our own added fields', changed(full(), 'days.0.cost', undefined)],
    ['the longest day', changed(full(), 'days.0.coveredS', 90_000)],
    [
      'an unknown estimate',
      changed(changed(full(), 'days.0.usedM3', null), 'days.0.usedM3Std', null),
    ],
    ['a whole second', changed(full(), 'runs.0.start', '2026-04-06T12:12:31Z')],
    ['no test', changed(full(), 'findings.0.nextTest', null)],
    ['a finding of no one fault', changed(full(), 'findings.0.fault', 'unknown-trouble')],
  ])('%s', (_, object) => {
    expect(validate(object), JSON.stringify(validate.errors)).toBe(true);
  });
});

describe('needs', () => {
  const required: [string, string[]][] = [
    ['', ['schema', 'well', 'span', 'scale', 'runs', 'days', 'draws', 'findings', 'unknown']],
    ['span.', ['from', 'to', 'readings', 'setAside']],
    ['scale.0.', ['from', 'basis', 'tankConstantPaM3', 'tankConstantPaM3Std']],
    [
      'runs.0.',
      (
        'start startStdS stop stopStdS begun ended breaks cutInPaGauge cutOutPaGauge ' +
        'meanCurrentA pumpedM3 pumpedM3Std'
      ).split(' '),
    ],
    [
      'days.0.',
      (
        'date coveredS usedM3 usedM3Std lossM3 lossM3Std lossHouseShare pumpedM3 pumpedM3Std ' +
        'energyJ energyJStd starts runS levelDropM levelDropMStd pumpingLevelM ' +
        'pumpingLevelMStd pumpIndex pumpIndexStd'
      ).split(' '),
    ],
    ['draws.0.', ['start', 'stop', 'volumeM3', 'volumeM3Std', 'peakFlowM3PerS']],
    [
      'findings.0.',
      (
        'id fault probability since raised cleared replacedBy urgency evidence instead history ' +
        'nextTest action cautions'
      ).split(' '),
    ],
    ['findings.0.evidence.0.', ['says', 'observed', 'expected', 'expectedStd', 'unit']],
    ['findings.0.instead.0.', ['fault', 'probability']],
    ['findings.0.history.0.', ['at', 'fault', 'probability']],
    ['unknown.0.', ['field', 'because', 'test']],
  ];
  const paths = required.flatMap(([at, keys]) => keys.map((key) => at + key));
  it.each(paths)('%s', (path) => {
    expect(validate(changed(full(), path, undefined))).toBe(false);
  });
});

describe('refuses', () => {
  const estimates = [
    'scale.0.tankConstantPaM3',
    'runs.0.pumpedM3',
    'days.0.usedM3',
    'days.0.lossM3',
    'days.0.pumpedM3',
    'days.0.energyJ',
    'days.0.levelDropM',
    'days.0.pumpIndex',
    'days.0.cost',
    'days.0.specificCapacityM2PerS',
    'days.0.energyPerVolumeJPerM3',
    'draws.0.volumeM3',
  ];
  it.each(estimates)('%s without a standard uncertainty above zero', (path) => {
    for (const std of [0, -1, null, '1']) {
      expect(validate(changed(full(), `${path}Std`, std)), String(std)).toBe(false);
    }
    expect(validate(changed(full(), path, '1'))).toBe(false);
  });
  it.each([
    'runs.0.pumpedPerTank',
    'days.0.usedPerTank',
    'days.0.lossPerTank',
    'draws.0.volumePerTank',
  ])('%s without a standard uncertainty', (path) => {
    expect(validate(changed(relativeStudy(), `${path}Std`, undefined))).toBe(false);
  });

  const instants = [
    'span.from',
    'span.to',
    'scale.0.from',
    'runs.0.start',
    'runs.0.stop',
    'draws.0.start',
    'draws.0.stop',
    'findings.0.since',
    'findings.0.raised',
    'findings.0.cleared',
    'findings.0.history.0.at',
  ];
  it.each(instants)('%s that is no RFC 3339 instant in UTC', (path) => {
    for (const text of ['2026-04-06', '2026-04-06T12:00:00', '2026-04-06T12:00:00+00:00', 1, ''])
      expect(validate(changed(full(), path, text)), String(text)).toBe(false);
  });
  it.each(instants.filter((path) => !/stop|cleared/.test(path) || path.startsWith('draws')))(
    '%s that is null',
    (path) => {
      expect(validate(changed(full(), path, null))).toBe(false);
    },
  );

  it.each([
    ['another schema', 'schema', 2],
    ['an id with capitals', 'well', 'Alder'],
    ['a long id', 'well', 'a'.repeat(33)],
    ['no id', 'well', ''],
    ['a count of readings that is no count', 'span.readings.pressure', 1.5],
    ['a negative count', 'span.setAside.duplicate', -1],
    ['an unnamed basis', 'scale.0.basis', 'guess'],
    ['an unnamed beginning', 'runs.0.begun', 'start'],
    ['an unnamed end', 'runs.0.ended', 'stopped'],
    ['half a break', 'runs.0.breaks', 0.5],
    ['an unnamed sign of a run', 'runs.0.foundBy', 'flow'],
    ['a date in another form', 'days.0.date', '06/04/2026'],
    ['a day of 26 hours', 'days.0.coveredS', 93_600],
    ['a negative cover', 'days.0.coveredS', -1],
    ['an unknown count of starts', 'days.0.starts', null],
    ['an unknown running time', 'days.0.runS', null],
    ['a share above one', 'days.0.lossHouseShare', 1.1],
    ['a fault without a name', 'findings.0.fault', 'pump-tired'],
    ['another unnamed fault', 'findings.0.instead.0.fault', 'pump-tired'],
    ['a belief above one', 'findings.0.probability', 1.01],
    ['an unnamed urgency', 'findings.0.urgency', 'soon'],
    ['an unnamed test', 'findings.0.nextTest', 'taste'],
    ['an unnamed test for what is unknown', 'unknown.0.test', 'taste'],
    ['a finding without evidence', 'findings.0.evidence', []],
    ['a finding without an action', 'findings.0.action', ''],
    ['an unnamed caution', 'findings.0.cautions', ['be-careful']],
    ['cautions that are no list', 'findings.0.cautions', 'tank-rating'],
    ['runs that are no list', 'runs', {}],
    ['a reason that is no text', 'unknown.0.because', null],
    ['an empty sentence', 'told', ['']],
  ])('%s', (_, path, value) => {
    expect(validate(changed(full(), path, value))).toBe(false);
  });

  it('a volume in m3 where there is no scale', () => {
    for (const path of ['runs.0.pumpedM3', 'days.0.usedM3', 'draws.0.volumeM3']) {
      const known = changed(changed(relativeStudy(), path, 1), `${path}Std`, 0.1);
      expect(validate(known), path).toBe(false);
    }
  });
  it('a pumping level that is null without its reason', () => {
    expect(validate(changed(full(), 'unknown', []))).toBe(false);
    expect(validate(changed(full(), 'unknown.0.field', 'days.pumpIndex'))).toBe(false);
    const known = changed(
      changed(full(), 'days.0.pumpingLevelM', 50),
      'days.0.pumpingLevelMStd',
      2,
    );
    expect(validate(changed(known, 'unknown', []))).toBe(true);
  });
});

describe('names the same things as the code', () => {
  it('faults, cautions and tests, both ways', () => {
    expect(schema.$defs.fault.enum).toEqual([...FAULT_NAMES]);
    expect(schema.$defs.finding.properties.cautions.items.enum).toEqual(Object.keys(CAUTIONS));
    const acts = Object.keys(ACT_CAUTIONS);
    for (const test of schema.$defs.test.enum.filter((name: unknown) => name !== null))
      expect(acts).toContain(test);
  });
  it('every field has a line in its page', () => {
    const page = readFileSync(new URL('../docs/formats/study.md', import.meta.url), 'utf8');
    const names = Object.values(schema.$defs as Record<string, { properties?: object }>)
      .concat(schema)
      .flatMap((part) => Object.keys(part.properties ?? {}))
      .filter((name) => !/Std$|PerTank$/.test(name));
    expect(names.length).toBeGreaterThan(50);
    for (const name of names) expect(page, name).toMatch(new RegExp(`\`${name}\``));
  });
});
