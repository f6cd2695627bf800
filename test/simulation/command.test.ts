import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { rehearse } from '../../src/cli/commands/rehearse.ts';
import { readScenario } from '../../src/cli/rehearse/scenario-file.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';
import { textOf } from '../support/source-scan.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'rehearse-'));
  vi.spyOn(process.stdout, 'write').mockReturnValue(true);
});
afterAll(() => rm(folder, { recursive: true }));
const at = (name: string) => join(folder, name);

const SCENARIO = `
name = "small"
system = "C"
start = "2026-03-07"
time_zone = "America/Chicago"
days = 3
seed = 4
bucket_tests_on_days = [1]
[reporting]
policy = "on-change"
running = "1 s"
pressure_deadband = "0.2 psi"
channels = ["current-peak", "start-time", "mains", "air-temperature"]
[household]
people = 4
[[fault]]
name = "leak-house"
from_day = 1.5
[[fault]]
name = "pump-worn"
from_day = 1
grows_days = 0
[[service]]
on_day = 2
did = 'a "new" gauge'
resets = ["pressure-sensor"]
`;

describe('rehearse', () => {
  it('writes log, well file and truth of a scenario', async () => {
    await writeFile(at('small.toml'), SCENARIO);
    expect(await rehearse([at('small.toml'), '--out', folder])).toBe(0);
    const log = gunzipSync(await readFile(at('small.csv.gz'))).toString();
    const [heading, first] = log.split('\n');
    expect(heading).toBe(
      'time,pressure [psi],current [A],current-peak [A],start-time [s],mains [V],air-' +
        'temperature [degC]',
    );
    expect(first).toMatch(/^\d+\.\d,\d+\.\d\d,\d+\.\d\d,\d/);
    const well = parseWellFile(await readFile(at('small.well.toml'), 'utf8'));
    if (!well.ok) throw new Error(well.issues.map((i) => i.expected).join());
    expect(well.well.people).toBe(4);
    expect(well.well.timeZone).toBe('America/Chicago');
    expect(well.well.bucketTests).toHaveLength(1);
    expect(well.well.services[0]).toMatchObject({
      did: 'a "new" gauge',
      resets: ['pressure-sensor'],
    });
    const truth = JSON.parse(await readFile(at('small.truth.json'), 'utf8'));
    expect(truth.faults).toEqual(['leak-house', 'pump-worn']);
    expect(truth.onset).toBe('2026-03-08T06:00:00.000Z');
    const leak = { name: 'leak-house', form: null, severity: 1, mended: null };
    const begins = '2026-03-08T18:00:00.000Z';
    expect(truth.each[0]).toEqual({ ...leak, onset: begins, full: begins });
    // The clocks go forward on the second day.
    expect(truth.days.map((d: { date: string }) => d.date)).toEqual([
      '2026-03-07',
      '2026-03-08',
      '2026-03-09',
    ]);
    expect(truth.days[2].leaked_gal).toBeGreaterThan(100);
    expect(truth.days[0].leaked_gal).toBe(0);
    // The flows are those of the books: 71 hours in quarters, and their water is that of the days.
    expect(truth.flows.length).toBeGreaterThanOrEqual(71 * 4 - 1);
    const water = (of: string) =>
      truth.flows.reduce((sum: number, flow: Record<string, number>) => sum + 15 * flow[of]!, 0);
    const ofDays = (of: string) =>
      truth.days.reduce((sum: number, day: Record<string, number>) => sum + day[of]!, 0);
    for (const of of ['pumped', 'used', 'leaked'])
      expect(Math.abs(water(`${of}_gpm`) / ofDays(`${of}_gal`) - 1), of).toBeLessThan(0.02);
    const pumped = truth.runs.reduce(
      (sum: number, r: { pumped_gal: number }) => sum + r.pumped_gal,
      0,
    );
    const byDay = truth.days.reduce(
      (sum: number, d: { pumped_gal: number }) => sum + d.pumped_gal,
      0,
    );
    expect(Math.abs(pumped - byDay)).toBeLessThan(1);
  });
  it("rehearses on the keeper's own well file", async () => {
    const args = ['--well', 'src/wellfile/juniper-bench.toml', '--days', '1', '--out', folder];
    expect(await rehearse([...args, '--fault', 'switch-welded', '--from-day', '0.5'])).toBe(0);
    const log = gunzipSync(await readFile(at('rehearsal.csv.gz')))
      .toString()
      .trim()
      .split('\n');
    const psi = log.slice(1).map((line) => Number(line.split(',')[1]));
    expect(Math.max(...psi)).toBeGreaterThan(60);
    expect(Math.max(...psi.slice(0, 5000))).toBeLessThan(56);
  });
  it('lets a neighbour draw down our level', async () => {
    const well = 'days = 1\nsystem = "J"\nseed = 5\n';
    const neighbour = '[[neighbour]]\ndistance = "150 ft"\nflow = "4 gpm"\n';
    const level = async (name: string, scenario: string) => {
      await writeFile(at(`${name}.toml`), `name = "${name}"\n${scenario}`);
      await rehearse([at(`${name}.toml`), '--out', folder]);
      const truth = JSON.parse(await readFile(at(`${name}.truth.json`), 'utf8'));
      return truth.days[0].static_level_ft as number;
    };
    const alone = await level('alone', well);
    const both = await level('both', well + neighbour);
    expect(both - alone).toBeGreaterThan(1);
    expect(both - alone).toBeLessThan(5);
  });
  it('says all that is wrong with a scenario, and where', () => {
    const bad =
      'system = 3\ndaze = 4\n[[fault]]\nname = "leek-house"\n[reporting]\nrest = "5 psi"\n';
    expect(() => readScenario(bad, 'bad.toml')).toThrow(/bad\.toml:1:.*system/);
    for (const says of [
      /bad\.toml:2:.*daze.*days/,
      /bad\.toml:4:.*leak-house/,
      /from_day/,
      /bad\.toml:6:/,
    ]) {
      expect(() => readScenario(bad, 'bad.toml')).toThrow(says);
    }
  });
  it('refuses other forms, days that end before they begin, and what is no key', () => {
    const bad =
      '[[fault]]\nname = "switch-drift"\nfrom_day = 2\nform = "cutin"\n' +
      '[[fault]]\nname = "pump-worn"\nfrom_day = 2\nmended_on_day = 1\nform = "old"\n' +
      '[[absence]]\nfrom_day = 3\nto_day = 2\npeople = 2\n' +
      '[[neighbour]]\ndistance = "20"\nflow = "3 psi"\n';
    for (const says of [
      /bad\.toml:4:.*form.*cut-in/,
      /bad\.toml:8:.*mended_on_day.*not before from_day/,
      /bad\.toml:9:.*form.*pump-worn has only one/,
      /bad\.toml:12:.*to_day.*not before from_day/,
      /bad\.toml:13:.*people/,
      /bad\.toml:15:.*distance/,
      /bad\.toml:16:.*flow/,
    ]) {
      expect(() => readScenario(bad, 'bad.toml')).toThrow(says);
    }
  });
  it.each([
    [['--out', 'x', '--fault', 'leek-house'], /nearest is leak-house/],
    [['--out', 'x', '--system', 'Z'], /expected one of A, B/],
    [['--out', 'x', '--days', 'ten'], /--days/],
    [['no-such.toml', '--out', 'x'], /no-such\.toml: expected a scenario file, found ENOENT/],
    [['--to', 'http://localhost/x', '--faster', '0'], /--faster: expected a number above 0/],
    [[], /--out or --to/],
  ])('%s is an error that says what was expected', async (args, says) => {
    await expect(rehearse(args as string[])).rejects.toThrow(says as RegExp);
  });
  it('has the demo scenario of a year', () => {
    const demo = readScenario(textOf('demo/juniper-bench.scenario.toml'), 'demo');
    expect(demo.days).toBe(365);
    expect(demo.faults.map((f) => f.name)).toEqual(['leak-house', 'precharge-low']);
  });
});
