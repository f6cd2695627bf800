import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { exam } from '../../src/cli/commands/exam.ts';
import { caseOf, idOf } from '../../src/cli/exam/case-id.ts';
import { everyFault, planOf } from '../../src/cli/exam/plan.ts';
import { runCase } from '../../src/cli/exam/run-case.ts';
import { UsageError } from '../../src/cli/usage.ts';
import { type CaseRecord, grade } from '../../src/exam/case-record.ts';
import { PRIOR_RATES_PER_YEAR } from '../../src/exam/prior-rates.ts';
import { SYSTEMS } from '../../src/simulation/catalogue.ts';
import { readTrace } from '../../src/simulation/household/trace.ts';

const LETTERS = SYSTEMS.map((s) => s.letter);
const full = planOf({
  short: false,
  systems: LETTERS,
  faults: everyFault(),
  seedFrom: 1000,
  days: null,
  healthyYears: 20,
});

/** What the command prints. */
async function printed(args: string[]): Promise<string> {
  let text = '';
  const spy = vi.spyOn(process.stdout, 'write').mockImplementation((piece) => {
    text += String(piece);
    return true;
  });
  try {
    expect(await exam(args)).toBe(0);
  } finally {
    spy.mockRestore();
  }
  return text;
}

describe('the full plan', () => {
  it('has every fault on every system that can have it, and twenty sound years', () => {
    for (const fault of everyFault()) {
      const cases = full.filter(({ faults }) => faults.length === 1 && faults[0] === fault);
      const able = fault === 'run-capacitor-weak' ? 6 : 12;
      const severities = new Set(cases.map((c) => c.severity));
      if (severities.size === 1) expect(cases, fault).toHaveLength(6);
      else {
        expect(cases, fault).toHaveLength(able);
        for (const severity of [0.3, 0.6, 1])
          expect(cases.filter((c) => c.severity === severity).length, fault).toBeGreaterThan(0);
      }
    }
    const sound = full.filter(({ faults }) => faults.length === 0);
    expect(sound.reduce((sum, c) => sum + c.days, 0)).toBe(20 * 365);
    expect(new Set(sound.map((c) => c.system)).size).toBe(12);
  });
  it('gives each case a plant of its own, within the thousand seeds asked for', () => {
    const seeds = full.map((c) => c.seed);
    expect(new Set(seeds).size).toBe(seeds.length);
    for (const seed of seeds) expect(seed >= 1000 && seed < 2000).toBe(true);
  });
  it('is the same for a part of it', () => {
    const faults = ['pump-worn', 'frozen'] as const;
    const part = planOf({
      short: false,
      systems: ['C', 'H'],
      faults: [...faults],
      seedFrom: 1000,
      days: null,
      healthyYears: 0,
    });
    expect(part).toHaveLength(4);
    for (const one of part) expect(full).toContainEqual(one);
  });
  it('names each case so that the name is the case', () => {
    for (const one of full) expect(caseOf(idOf(one))).toEqual(one);
    expect(new Set(full.map(idOf)).size).toBe(full.length);
  });
  it('has a yearly rate for each fault', () => {
    expect(Object.keys(PRIOR_RATES_PER_YEAR).toSorted()).toEqual([...everyFault()].toSorted());
    for (const rate of Object.values(PRIOR_RATES_PER_YEAR)) expect(rate).toBeGreaterThan(0);
  });
});

describe('a case', () => {
  it('is the same each time', () => {
    const one = caseOf('pressure-wire-open.A.100.1803.10');
    expect(runCase(one, null).record).toEqual(runCase(one, null).record);
  });
  it('of an open wire is told at once', () => {
    const { record } = runCase(caseOf('pressure-wire-open.B.100.1804.10'), null);
    const [outcome] = grade(record, 'study').faults;
    expect(outcome).toMatchObject({ level: 'first', first: true, right: true });
    expect(outcome!.delayFromSeenS).toBeLessThan(120);
    expect(record.faults[0]!.onsetS - record.fromS).toBeGreaterThan(8 * 86_400 - 1);
  });
});

describe('amps of a device that reports on change', () => {
  it('show a clamp that has slipped, though it is silent while they stay', () => {
    const { record } = runCase(caseOf('current-clamp-gap.G.30.2558.20'), null);
    expect(record.way.policy).toBe('on-change');
    expect(grade(record, 'study').faults[0]).toMatchObject({ first: true, right: true });
  }, 30_000);
});

describe('a house whose pump runs a few times a day', () => {
  it('has no baseline after eight days, so what needs one is not judgeable', () => {
    const one = caseOf('pump-changed.F.100.1811.16');
    const draws = Array.from(
      { length: 60 },
      (_, d) => `${1_700_000_000 + 86_400 * d},bath,60000,400`,
    );
    const trace = readTrace(['unix_s,fixture,millilitres,duration_s', ...draws].join('\n'));
    const { record } = runCase(one, trace);
    expect(record.baselineDays).toBe(0);
    expect(record.faults[0]!.level).toBe('not-judgeable');
    const usual = runCase(one, null).record;
    expect(usual.baselineDays).toBeGreaterThan(8);
    expect(usual.faults[0]!.level).toBe('first');
  }, 120_000);
});

describe('the short exam', () => {
  const folder = mkdtempSync(join(tmpdir(), 'exam-'));
  const out = join(folder, 'all.jsonl');
  const report = join(folder, 'report.md');
  let text = '';
  beforeAll(async () => {
    const faults = 'pressure-wire-open,current-clamp-off,leak-house,tank-waterlogged,clock-jump';
    const args = ['--short', '--days', '10', '--faults', faults, '--healthy-years', '0.06'];
    text = await printed([...args, '--systems', 'ABD', '--out', out, '--report', report]);
  }, 180_000);
  afterAll(() => rmSync(folder, { recursive: true }));

  it('prints its tables within 96 columns', () => {
    for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(96);
    for (const title of ['In short', 'Sound wells', 'Fault by fault: study', 'Calibration'])
      expect(text).toContain(title);
    expect(text).toMatch(/^9 cases in \d+ s$/m);
  });
  it('writes each case as it was: truth and findings', () => {
    const records = readFileSync(out, 'utf8')
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line) as CaseRecord);
    expect(records).toHaveLength(9);
    expect(records.filter((r) => r.way.sickFromStart)).toHaveLength(3);
    const wire = records.find(({ id }) => id.startsWith('pressure-wire-open'))!;
    expect(wire.findings.map((f) => f.fault)).toContain('pressure-wire-open');
    expect(wire.faults[0]!.seenS).toBeGreaterThanOrEqual(wire.faults[0]!.onsetS);
    expect(records.filter((r) => r.faults.length === 0)).toHaveLength(1);
  });
  it('keeps a report without a path of this machine', () => {
    const page = readFileSync(report, 'utf8');
    expect(page).toContain('# Result of the exam');
    expect(page).toContain('| `pressure-wire-open`'.replaceAll('`', ''));
    expect(page).not.toContain(folder);
  });
});

describe('a case shown', () => {
  it('has truth, findings with evidence, and the verdict', async () => {
    const text = await printed(['--case', 'switch-no-start.B.100.1837.10']);
    expect(text).toMatch(/^truth {5}switch-no-start at 100 % since /m);
    expect(text).toMatch(/^may be {4}pair: power-out, frozen$/m);
    expect(text).toMatch(/^ {2}finding-\d+: switch-no-start \d+ %/m);
    expect(text).toMatch(/^verdict {3}switch-no-start: RIGHT; first/m);
  });
});

describe('what is asked wrongly', () => {
  it.each([
    [['--faults', 'nosuch'], 'found "nosuch"'],
    [['--systems', 'AZ'], 'found "Z"'],
    [['--days', '2'], '--days: expected a whole number from 6 on, found "2"'],
    [['--healthy-years', 'x'], '--healthy-years: expected a number from 0 on, found "x"'],
    [['--case', 'pump-worn'], 'found "pump-worn"'],
    [['--case', 'pump-worn.Z.100.1.20'], 'found "Z"'],
    [['--workers', '0'], '--workers'],
    [['--household', '/nowhere.csv'], 'ENOENT'],
    [['--strange'], 'usage: wellwright exam'],
    [['--faults', 'run-capacitor-weak', '--systems', 'A', '--healthy-years', '0'], 'one case'],
  ])('%j is told', async (args, says) => {
    const error: unknown = await exam(args).catch((cause: unknown) => cause);
    expect(error).toBeInstanceOf(UsageError);
    expect((error as Error).message).toContain(says);
  });
});
