import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { check } from '../../src/cli/commands/check.ts';
import { UsageError } from '../../src/cli/usage.ts';
import { CAUTIONS } from '../../src/model/cautions.ts';
import { TEXT_WIDTH } from '../../src/report/layout.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';
import { fileOf, WHOLE } from '../support/wells.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
const main = join(import.meta.dirname, '..', '..', 'src', 'cli', 'main.ts');
const at = (name: string): string => join(folder, name);
const write = (name: string, text: string): string => {
  writeFileSync(at(name), text);
  return at(name);
};

/** Runs the command with what someone types. */
function typed(input: string, ...args: string[]) {
  const result = spawnSync(process.execPath, [main, ...args], { encoding: 'utf8', input });
  return { code: result.status, out: result.stdout, err: result.stderr };
}
const run = (...args: string[]) => typed('', ...args);
const squeezed = (text: string) => text.replaceAll(/\s+/g, ' ');

const SENSING = `
[sensing.pressure]
range = "100 psi"
output = ["0.5 V", "4.5 V"]
supply = "5 V"
ratiometric = true
[sensing.converter]
bits = 12
range = ["3.3 V"]
supply = "3.3 V"
reference = "supply"
rate = "500 Hz"
[sensing.sampling]
mains = "60 Hz"
interval = "10 s"
`;
const PAIRS =
  'pressure-raw [V],pressure-raw std [V],pressure [psi],pressure std [psi]\n' +
  '0.503,0.002,0,0.3\n1.31,0.002,20,0.5\n2.10,0.002,40,0.5\n2.52,0.002,50,0.5\n';

let plain = '';
let sensing = '';
let pairs = '';

beforeAll(() => {
  plain = write('plain.toml', fileOf(WHOLE));
  sensing = write('sensing.toml', fileOf(WHOLE, SENSING));
  pairs = write('pairs.csv', PAIRS);
});
afterAll(() => rmSync(folder, { recursive: true }));

describe('check', () => {
  it('prints the installation with its working', () => {
    const { code, out, err } = run('check', '--well', plain);
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out).toMatch(/^About the well file\n/);
    expect(out).toContain('\nInstallation of Gravel bend (gravel-bend)\n');
    expect(squeezed(out)).toContain('Formula t = V / Q = 22.2 / ');
    expect(out).not.toContain('Measuring chain');
    expect(out).toContain('has no [sensing]: the measuring chain is not checked');
  });
  it('prints the chain of [sensing], and draws it', () => {
    const figures = at('figures');
    const { code, out } = run('check', '--well', sensing, '--figures', figures);
    expect(code).toBe(0);
    expect(squeezed(out)).toMatch(/Destroys Full pressure brings 4\.5 V to an input that bears/);
    expect(out).toContain('\nPressure channel\n');
    expect(out).toContain('95 % uncertainty');
    expect(squeezed(out)).toContain(squeezed(CAUTIONS['potable-fittings']));
    expect(out).toContain('\nInstallation of Gravel bend');
    for (const line of out.split('\n'))
      expect([...line].length, line).toBeLessThanOrEqual(TEXT_WIDTH);
    expect(readFileSync(join(figures, 'chain.svg'), 'utf8')).toMatch(/^<svg[\s\S]+<\/svg>/);
    expect(existsSync(join(figures, 'residuals.svg'))).toBe(false);
  });
  it('draws a line through paired readings when asked', () => {
    const figures = at('lines');
    const asked = ['--calibrate', pairs, '--channel', 'pressure', '--figures', figures];
    const { code, out } = run('check', '--well', plain, ...asked);
    expect(code).toBe(0);
    // 0 psi at 0.503 V and 40 psi at 2.10 V: 25.0 psi/V, as the pairs say.
    expect(squeezed(out)).toMatch(
      /Line -12\.\d+ ± [\d.]+ psi at 0 V and 2[45]\.\d+ ± [\d.]+ psi\/V/,
    );
    expect(squeezed(out)).toContain(squeezed(CAUTIONS['never-close-off-a-running-pump']));
    expect(readFileSync(join(figures, 'residuals.svg'), 'utf8')).toContain('<svg');
  });
  it('says what became of the last calibration, and when to make the next', () => {
    // The old line: 25 psi/V through 0 psi at 0.5 V; the new readings lie 2 psi above it.
    const last =
      '[[calibration]]\nchannel = "pressure"\nfrom = 2025-04-01\nraw = "V"\n' +
      'points = [["0.5 V", "0 psi", "0.1 psi"], ["2.9 V", "60 psi", "0.1 psi"]]\n';
    const well = write('last.toml', fileOf(WHOLE, last));
    const rows = ['0.42,0', '1.22,20', '2.02,40', '2.82,60'].map(
      (row) => `2026-04-01T10:00:00Z,${row},0.1`,
    );
    const dated = write(
      'dated.csv',
      `time,pressure-raw [V],pressure [psi],pressure std [psi]\n${rows.join('\n')}\n`,
    );
    const asked = ['--calibrate', dated, '--channel', 'pressure'];
    const text = squeezed(run('check', '--well', well, ...asked).out);
    expect(text).toMatch(/Zero the zero has moved: it reads -2(\.\d+)? psi at zero/);
    expect(text).toMatch(/Drift since the last calibration it has drifted by 2(\.\d+)? psi/);
    expect(text).toMatch(/Again on 2026-\d\d-\d\d, \d months? on/);
    const undated = squeezed(
      run('check', '--well', plain, '--calibrate', pairs, '--channel', 'pressure').out,
    );
    expect(undated).toContain('Not known drift: the well file has no calibration of pressure');
    expect(undated).toContain('Not known date to check again: the pairs have no column time');
  });
  it('tells the uncertainty at any value, and holds in the well file what it fitted', () => {
    const asked = [
      '--calibrate',
      pairs,
      '--channel',
      'pressure',
      '--at',
      '30 psi',
      '--at',
      '3 bar',
    ];
    const { out } = run('check', '--well', plain, ...asked);
    expect(out).toMatch(/^ {2}At {11}30\.\d+ psi: 95 % uncertainty 0\.\d+ psi$/m);
    expect(out).toMatch(/^ {2}At {11}43\.\d+ psi: 95 % uncertainty 0\.\d+ psi$/m);
    expect(squeezed(run('check', '--well', plain, ...asked, '--at', '90 psi').out)).toMatch(
      /At 90\.\d+ psi: .* psi, if the line holds so far from the points/,
    );
    const table = /^\[\[calibration\]\]\n[\s\S]*?^\]$/m.exec(out)?.[0] ?? '';
    const parsed = parseWellFile(fileOf(WHOLE, table.replace(/^# from = (\S+).*$/m, 'from = $1')));
    expect(parsed.ok && parsed.well.calibrations[0]?.points).toHaveLength(4);
    const json = JSON.parse(run('check', '--json', '--well', plain, ...asked).out);
    expect(json.calibration.asked[0].std).toBeGreaterThan(0);
    expect(json.calibration.table.join('\n')).toBe(table);
  });
  it('makes the true RMS current of a burst through the calibration in force', () => {
    // 0.32 V over 860 Hz, 60 Hz: 0.2263 V rms; the line gives 40 A for each V.
    const samples = Array.from({ length: 172 }, (_, i) =>
      (1.65 + 0.32 * Math.sin((2 * Math.PI * 60 * i) / 860)).toFixed(4),
    );
    const burst = write('burst.csv', `current-raw [V]\n${samples.join('\n')}\n`);
    const line =
      '[[calibration]]\nchannel = "current"\nfrom = 2026-04-01\nraw = "V"\n' +
      'points = [["0 V", "0 A", "0.02 A"], ["0.3 V", "12 A", "0.1 A"]]\n';
    const chain = SENSING.replace('rate = "500 Hz"', 'rate = "860 Hz"');
    const well = write('burst.toml', fileOf(WHOLE, line + chain));
    const text = squeezed(run('check', '--well', well, '--burst', burst).out);
    expect(text).toContain('Samples 172 at 860 Hz, 12.0 cycles of 60.00 Hz, found in them');
    expect(text).toMatch(/True RMS 0\.2263 V about a middle of 1\.650 V/);
    expect(text).toMatch(/Current 9\.0\d ± 0\.1\d A rms by the last calibration/);
    expect(text).toContain(squeezed(CAUTIONS['transformer-secondary-closed']));
    const json = JSON.parse(run('check', '--json', '--well', well, '--burst', burst).out);
    expect(json.burst.current.value).toBeCloseTo((40 * 0.32) / Math.SQRT2, 2);
    const bare = run('check', '--well', sensing, '--burst', burst);
    expect(squeezed(bare.out)).toMatch(/Current not known: .* no calibration of current in V/);
    const untold = run('check', '--well', plain, '--burst', burst);
    expect(untold.code).toBe(2);
    expect(untold.err).toContain('--burst: expected sensing.converter.rate in the well file');
  });
  it('says in words why one point makes no line', () => {
    const one = write('one.csv', 'pressure-raw [V],pressure [psi]\n0.503,0\n');
    const { code, out } = run(
      'check',
      '--well',
      plain,
      '--calibrate',
      one,
      '--channel',
      'pressure',
    );
    expect(code).toBe(0);
    expect(out).toContain('No line is drawn through these points.');
    expect(out).toMatch(/^ {2}But /m);
  });
  it('prints one JSON object when asked', () => {
    const asked = ['--json', '--calibrate', pairs, '--channel', 'pressure'];
    const { code, out } = run('check', '--well', sensing, ...asked);
    expect(code).toBe(0);
    expect(out.trim().split('\n')).toHaveLength(1);
    const result = JSON.parse(out);
    expect(result.well).toBe('gravel-bend');
    expect(result.installation.results.length).toBeGreaterThan(25);
    for (const one of result.installation.results) {
      expect(Object.keys(one)).toEqual(expect.arrayContaining(['formula', 'source', 'inputs']));
      expect(one.defers).toMatch(/licensed installer/);
    }
    expect(result.chain.findings[0].does).toBe('destroys');
    expect(result.calibration.line.slope).toBeGreaterThan(0);
  });
  it('holds the chain against what is there after the services', () => {
    const keys = { ...WHOLE, 'relief.opens': '75 psi' };
    const service =
      '[[service]]\non = 2026-05-02\ndid = "valve"\n[service.now]\nrelief.opens = "110 psi"\n';
    const later = write('later.toml', fileOf(keys, service + SENSING));
    const { out } = run('check', '--json', '--well', later);
    const ids = (text: string) =>
      JSON.parse(text).chain.findings.map(({ id }: { id: string }) => id);
    expect(ids(out)).toContain('transducer-below-relief');
    expect(ids(run('check', '--json', '--well', sensing).out)).not.toContain(
      'transducer-below-relief',
    );
  });

  it.each([
    ['no well file', ['check'], /expected --well/],
    [
      'a well file that is not there',
      ['check', '--well', '/no/such.toml'],
      /expected a well file, found ENOENT/,
    ],
    ['an option that is none', ['check', '--well', 'W', '--fast'], /--fast/],
    ['a channel without pairs', ['check', '--well', 'W', '--channel', 'pressure'], /--calibrate/],
    [
      'pairs without a channel',
      ['check', '--well', 'W', '--calibrate', 'P'],
      /--channel: expected/,
    ],
    [
      'a channel that is none',
      ['check', '--well', 'W', '--calibrate', 'P', '--channel', 'flow'],
      /found "flow"/,
    ],
    [
      'pairs of another channel',
      ['check', '--well', 'W', '--calibrate', 'P', '--channel', 'current'],
      /csv:1: expected the columns current-raw/,
    ],
    [
      'pairs that are not there',
      ['check', '--well', 'W', '--calibrate', '/no.csv', '--channel', 'current'],
      /expected paired readings, found ENOENT/,
    ],
    [
      'a value without pairs',
      ['check', '--well', 'W', '--at', '3 psi'],
      /--at goes with --calibrate/,
    ],
    [
      'a value of another kind',
      ['check', '--well', 'W', '--calibrate', 'P', '--channel', 'pressure', '--at', '3 A'],
      /--at: expected a (gauge )?pressure .*found "A/,
    ],
    [
      'a file to write without questions',
      ['check', '--well', 'W', '--out', 'x'],
      /--out goes with --new/,
    ],
    [
      'questions with a well file',
      ['check', '--new', '--well', 'W'],
      /--new goes with --out only, found --well/,
    ],
    [
      'a new file that is there',
      ['check', '--new', '--out', 'W'],
      /expected a new file, found .* there already/,
    ],
  ])('refuses %s and says what was expected', async (_name, [, ...args], says) => {
    const named = args.map((arg) => (arg === 'W' ? plain : arg === 'P' ? pairs : arg));
    const refused = check(named);
    await expect(refused).rejects.toThrow(says);
    await expect(refused).rejects.toBeInstanceOf(UsageError);
  });
  it('prints what it refuses on standard error alone, and exits with 2', () => {
    const { code, out, err } = run('check', '--well', '/no/such.toml');
    expect(err).toMatch(/^\/no\/such\.toml: expected a well file, found ENOENT\n$/);
    expect(code).toBe(2);
    expect(out).toBe('');
  });
  it('refuses a chain that is told wrongly, with all that is wrong', () => {
    const wrong = SENSING.replace('"100 psi"', '"100 V"').replace('bits = 12', 'bits = "many"');
    const { code, err } = run('check', '--well', write('wrong.toml', fileOf(WHOLE, wrong)));
    expect(code).toBe(2);
    expect(err).toMatch(/sensing\.pressure\.range: expected .* found/);
    expect(err).toMatch(/sensing\.converter\.bits: expected .* found/);
  });
});

describe('check --new', () => {
  it('makes a file of what is answered, asking again where it cannot be', () => {
    const answers = ['Gravel bend', 'us', '44', '44 gal', '40 psi', '60 psi', '', '125 psi'];
    const { code, out, err } = typed(`${answers.join('\n')}\n`, 'check', '--new');
    expect(code).toBe(0);
    const parsed = parseWellFile(out);
    expect(parsed.ok ? [] : parsed.issues).toEqual([]);
    expect(parsed.ok && parsed.well.equipment.tankRatedPaGauge?.value).toBeCloseTo(
      125 * 6894.757,
      -1,
    );
    expect(parsed.ok && parsed.well.equipment.prechargePaGauge).toBeNull();
    expect(err).toContain('expected a volume such as "86 gal", in m3, L, mL, gal, ft3, found "44"');
    expect(squeezed(err)).toContain(squeezed(CAUTIONS['tank-drained-power-off']));
    for (const line of err.split('\n'))
      expect([...line].length, line).toBeLessThanOrEqual(TEXT_WIDTH + 2);
  });
  it('writes it where it is told to, ready for the check', () => {
    const made = at('made.toml');
    const { code, out, err } = typed('Gravel bend\ndone\n', 'check', '--new', '--out', made);
    expect(code).toBe(0);
    expect(out).toBe('');
    expect(err).toContain(`wellwright check --well ${made}`);
    expect(run('check', '--well', made).code).toBe(0);
  });
  it('needs a name, and writes nothing without', () => {
    const made = at('unnamed.toml');
    const { code, err } = typed('\n', 'check', '--new', '--out', made);
    expect(code).toBe(2);
    expect(err).toMatch(/expected a name for the well, found nothing/);
    expect(existsSync(made)).toBe(false);
  });
});
