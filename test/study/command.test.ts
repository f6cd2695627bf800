import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog, schema, studied, wellOf } from '../support/rehearsed-log.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
const main = join(import.meta.dirname, '..', '..', 'src', 'cli', 'main.ts');
const at = (name: string): string => join(folder, name);
const write = (name: string, text: string): string => {
  writeFileSync(at(name), text);
  return at(name);
};

const run = (...args: string[]) => {
  const result = spawnSync(process.execPath, [main, ...args], { encoding: 'utf8' });
  return { code: result.status, out: result.stdout, err: result.stderr };
};

let well = '';
let log = '';

beforeAll(() => {
  well = write(
    'well.toml',
    'name = "Alder barn"\n[tank]\nvolume = "44 gal"\nprecharge = "38 psi"\n',
  );
  const rows = Array.from({ length: 200 }, (_, i) => `${1775433600 + 5 * i},${60 - 0.01 * i},0.02`);
  log = write('log.csv', `time,pressure [psi],current [A]\n${rows.join('\n')}\n`);
});
afterAll(() => rmSync(folder, { recursive: true }));

describe('study at the command line', () => {
  it('prints text for people, and one JSON object when asked', () => {
    const text = run('study', '--well', well, log);
    expect(text.code).toBe(0);
    expect(text.err).toBe('');
    expect(text.out).toMatch(/^Alder barn/);
    const json = run('study', '--json', '--well', well, log);
    expect(json.code).toBe(0);
    expect(JSON.parse(json.out).schema).toBe(1);
    expect(json.out.trim().split('\n').length).toBe(1);
  });

  it.each([
    ['no command', [], /^$/],
    ['a command that is none', ['studdy'], /expected a command, found "studdy"/],
    ['no well file', ['study', 'x.csv'], /expected --well/],
    ['no log', ['study', '--well', 'W'], /expected a log, found none/],
    ['an option that is none', ['study', '--well', 'W', '--fast', 'L'], /--fast/],
    ['days that are no number', ['study', '--well', 'W', '--days', 'ten', 'L'], /--days: expected/],
    ['a column without =', ['study', '--well', 'W', '--column', 'x', 'L'], /--column: expected/],
    ['a well file that is not there', ['study', '--well', '/no/such.toml', 'L'], /ENOENT/],
    ['a log that is not there', ['study', '--well', 'W', '/no/such.csv'], /such\.csv/],
  ])('refuses %s with exit 2 and what was expected', (_name, args, says) => {
    const result = run(...args.map((arg) => (arg === 'W' ? well : arg === 'L' ? log : arg)));
    expect(result.code).toBe(2);
    expect(result.err).toMatch(says);
    expect(`${result.err}${result.out}`).not.toMatch(/\n {4}at /);
  });

  it('names line and column of every error of a well file', () => {
    const bad = write('bad.toml', 'name = "x"\n[tank]\nvolume = "44"\nprechrage = "38 psi"\n');
    const result = run('study', '--well', bad, log);
    expect(result.code).toBe(2);
    expect(result.err).toMatch(/bad\.toml:3:/);
    expect(result.err).toMatch(/bad\.toml:4:.*precharge/);
  });

  it('says what stands in the way when nothing in a log is usable', () => {
    const empty = write('empty.csv', '');
    expect(run('study', '--well', well, empty).code).toBe(2);
    const heading = write('heading.csv', 'time,pressure [psi],current [A]\n');
    expect(run('study', '--well', well, heading).err).toMatch(/expected readings/);
    const words = write('words.csv', 'time,pressure [psi]\nnow,high\nthen,low\n');
    expect(run('study', '--well', well, words).err).toMatch(/2 unreadable-value/);
  });

  it('names a log whose clock was never set', () => {
    const rows = Array.from({ length: 100 }, (_, i) => `${5 * i},${50 - 0.01 * i}`);
    const unset = write('unset.csv', `time,pressure [psi]\n${rows.join('\n')}\n`);
    const result = run('study', '--well', well, unset);
    expect(result.code).toBe(2);
    expect(result.err).toMatch(/unset\.csv: expected readings .*found 100 clock-unset/);
  });

  it('refuses a --column heading that no log has, and names the nearest', () => {
    const foreign = write('foreign.csv', 'When,Line P\n1775433600,50\n1775433605,49.9\n');
    const columns = ['--column', 'When=time', '--column', 'Lime P=pressure [psi]'];
    for (const logs of [[foreign], [log, foreign]]) {
      const result = run('study', '--json', '--well', well, ...columns, ...logs);
      expect(result.code).toBe(2);
      expect(result.out).toBe('');
      expect(result.err).toMatch(/found 'Lime P'; its headings are .*'When', 'Line P'/);
      expect(result.err).toMatch(/nearest is 'Line P'/);
      expect(result.err).not.toMatch(/found 'When'/);
    }
    const json = write(
      'log.json',
      '[{"bn":"x:","n":"pressure","u":"Pa","v":350000,"t":1775433600}]',
    );
    expect(run('study', '--well', well, '--column', 'a=time', json).err).toMatch(/no headings/);
  });

  it('takes a --column heading that one log of several has', () => {
    const foreign = write('later.csv', 'When,Line P\n1775437600,50\n1775437605,49.9\n');
    const columns = ['--column', 'When=time', '--column', 'Line P=pressure [psi]'];
    expect(run('study', '--json', '--well', well, ...columns, log, foreign).code).toBe(0);
  });

  it('tells a heading of the well file that no log has, and goes on', () => {
    const text = 'name = "Alder barn"\n[logging.columns]\n"presure [psi]" = "pressure [psi]"\n';
    const result = run('study', '--json', '--well', write('columns.toml', text), log);
    expect(result.code).toBe(0);
    expect(JSON.parse(result.out).told.join('\n')).toMatch(
      /'presure \[psi\]', which no log here has; the nearest is 'pressure \[psi\]'/,
    );
  });

  it.each([['study'], ['rehearse'], ['check'], ['exam']])(
    '%s prints its usage when asked for help',
    (command) => {
      for (const help of ['--help', '-h']) {
        const result = run(command, help);
        expect(result).toEqual({
          code: 0,
          out: expect.stringMatching(/^usage: wellwright/),
          err: '',
        });
      }
    },
  );

  it('does not fail silently when its output cannot be written', () => {
    const script = `"${process.execPath}" "${main}" --help > /dev/full`;
    const result = spawnSync('sh', ['-c', script], { encoding: 'utf8' });
    expect(result.status).toBe(1);
    expect(result.stderr).toMatch(/could not be written: ENOSPC/);
  });

  it.each<[string, string | Uint8Array, RegExp]>([
    [
      'bytes',
      Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919 + 13) % 251),
      /line \d+: expected/,
    ],
    ['a letter', 'Dear keeper,\nthe pump is well.\n', /line 1: expected a column 'time'/],
    ['no time', 'pressure [psi]\n50\n', /line 1: expected a column 'time'/],
    ['no unit', 'time,pressure\n1775433600,50\n', /column 2 'pressure': expected a unit.*found no/],
    [
      'two of one',
      'time,current [A],current [A]\n1,2,3\n',
      /column 3 .*: expected one such column/,
    ],
    [
      'not a number in it',
      'time,pressure [psi]\n1775433600,NaN\n',
      /expected readings.*not-finite/,
    ],
  ])(
    'refuses a log that is %s with exit 2, where, what was expected and found',
    (_n, text, says) => {
      writeFileSync(at('bad.csv'), text);
      const result = run('study', '--json', '--well', well, at('bad.csv'));
      expect(result.code).toBe(2);
      expect(result.out).toBe('');
      expect(result.err).toMatch(/bad\.csv: .*expected .*found /);
      expect(result.err).toMatch(says);
    },
  );

  it('refuses a folder for a log, and one good log does not hide a bad one', () => {
    expect(run('study', '--well', well, folder).err).toMatch(/expected a file, found a folder/);
    const result = run('study', '--json', '--well', well, log, '/no/such.csv');
    expect(result.code).toBe(2);
    expect(result.out).toBe('');
    expect(result.err).toMatch(/such\.csv: expected a file, found none/);
  });

  it('studies half of a zipped log, and says that it is half', () => {
    const rows = Array.from(
      { length: 5000 },
      (_, i) => `${1775433600 + i},${50 + ((i * 37) % 11)}`,
    );
    const whole = gzipSync(`time,pressure [psi]\n${rows.join('\n')}\n`);
    writeFileSync(at('half.csv.gz'), whole.subarray(0, whole.length / 2));
    const result = run('study', '--json', '--well', well, at('half.csv.gz'));
    expect(result.code).toBe(0);
    const study = JSON.parse(result.out);
    expect(study.told.join('\n')).toMatch(/half\.csv\.gz ends before its end/);
    expect(study.span.readings.pressure).toBeGreaterThan(500);
    expect(study.span.readings.pressure).toBeLessThan(5000);
  });

  it('stops quietly when the reader has seen enough', () => {
    const script = `"${process.execPath}" "${main}" study --well "${well}" "${log}" | head -n 1`;
    const result = spawnSync('sh', ['-c', script], { encoding: 'utf8' });
    expect(result.stdout).toMatch(/^Alder barn/);
    expect(result.stderr).toBe('');
  });

  it('stops quietly in the middle of its JSON, too', () => {
    const rows = Array.from({ length: 40_000 }, (_, i) => {
      const phase = i % 200;
      const psi = phase < 150 ? 60 - phase / 7.5 : 40 + (phase - 150) / 2.5;
      return `${1775433600 + 5 * i},${psi.toFixed(2)},${phase < 150 ? 0.02 : 8}`;
    });
    const many = write('many.csv', `time,pressure [psi],current [A]\n${rows.join('\n')}\n`);
    const command = `"${process.execPath}" "${main}" study --json --well "${well}" "${many}"`;
    const whole = spawnSync('sh', ['-c', `${command} | wc -c`], { encoding: 'utf8' });
    // More than a pipe holds: the writer is still at work when its reader goes.
    expect(Number(whole.stdout)).toBeGreaterThan(65_536);
    const result = spawnSync('sh', ['-c', `${command} | head -c 10`], { encoding: 'utf8' });
    expect(result.stdout).toBe('{"schema":');
    expect(result.stderr).toBe('');
  });
});

describe('the JSON of study', () => {
  const validate = new Ajv2020({ strict: false, allErrors: true }).compile(schema);
  const holds = (study: unknown): void => {
    const valid = validate(JSON.parse(JSON.stringify(study)));
    expect(validate.errors ?? []).toEqual([]);
    expect(valid).toBe(true);
  };
  const base = { letter: 'C', days: 4, seed: 41 };
  const sick = (name: 'tank-waterlogged' | 'running-dry' | 'current-clamp-off' | 'rotor-locked') =>
    rehearsedLog({ ...base, days: 3, faults: [{ name, onsetDay: 2, severity: 1 }] });

  it('keeps to its schema for sound and sick wells', () => {
    holds(studied(rehearsedLog({ ...base, bucketDays: [1], messy: true })));
    for (const name of [
      'tank-waterlogged',
      'running-dry',
      'current-clamp-off',
      'rotor-locked',
    ] as const)
      holds(studied(sick(name)));
  });

  it('keeps to it with less: no tank, no current, no pressure', () => {
    const whole = rehearsedLog(base);
    const relative = studied(whole, wellOf('name = "Little known"'));
    holds(relative);
    expect(relative.scale[0]!.basis).toBe('relative');
    expect(relative.days[1]!.usedM3).toBeNull();
    expect(relative.days[1]!.usedPerTank).toBeGreaterThan(1);
    expect(relative.days[1]!.coveredS).toBeGreaterThan(86_000);
    const only = (channel: number) => {
      const keep = whole.channel.map((c, i) => (c === channel ? i : -1)).filter((i) => i >= 0);
      return {
        ...whole,
        timeS: keep.map((i) => whole.timeS[i]!),
        channel: keep.map((i) => whole.channel[i]!),
        value: keep.map((i) => whole.value[i]!),
      };
    };
    const noAmps = studied(only(0));
    holds(noAmps);
    const seen = studied(whole);
    expect(Math.abs(noAmps.runs.length - seen.runs.length)).toBeLessThanOrEqual(1);
    expect(noAmps.runs.every((r) => r.foundBy === 'pressure' && r.meanCurrentA === null)).toBe(
      true,
    );
    expect(noAmps.unknown.map(({ field }) => field)).toContain('days.energyJ');
    const noPressure = studied(only(1));
    holds(noPressure);
    expect(noPressure.runs.length).toBe(seen.runs.length);
  });
});
