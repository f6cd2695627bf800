import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, expect, it, vi } from 'vitest';
import { check } from '../../src/cli/commands/check.ts';
import { ACT_CAUTIONS, CAUTIONS, type CautionId } from '../../src/model/cautions.ts';
import { Interview } from '../../src/wellfile/interview.ts';
import { QUESTIONS } from '../../src/wellfile/interview-questions.ts';
import { fileOf, WHOLE } from '../support/wells.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
afterAll(() => rmSync(folder, { recursive: true }));
afterEach(() => vi.restoreAllMocks());
const write = (name: string, text: string): string => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};
type Act = keyof typeof ACT_CAUTIONS;
const union = (acts: readonly Act[]) =>
  [...new Set(acts.flatMap((act) => ACT_CAUTIONS[act]))].toSorted();

/** What the command prints, from its first line to the installation. */
async function printed(...args: string[]): Promise<string> {
  let out = '';
  const write = vi.spyOn(process.stdout, 'write');
  write.mockImplementation((text) => {
    out += String(text);
    return true;
  });
  await check(args);
  write.mockRestore();
  return out.split('\nInstallation of ')[0] ?? '';
}

const squeezed = (text: string) => text.replaceAll(/\s+/g, ' ');
/** Ids of the cautions that stand in a text with all their words. */
const idsIn = (text: string): CautionId[] =>
  (Object.keys(CAUTIONS) as CautionId[])
    .filter((id) => squeezed(text).includes(squeezed(CAUTIONS[id])))
    .toSorted();

const PRESSURE = '[sensing.pressure]\nrange = "150 psi"\noutput = ["0.5 V", "4.5 V"]\n';
const CURRENT = '[sensing.current]\nrange = "30 A"\noutput = "1 V"\nbias = "1.65 V"\n';
const CONVERTER =
  '[sensing.converter]\nbits = 12\nrange = "5 V"\nsupply = "5 V"\nrate = "860 Hz"\n' +
  '[sensing.sampling]\nmains = "60 Hz"\n';

it.each([
  ['both sensors', PRESSURE + CURRENT, ['fit-pressure-sensor', 'fit-current-clamp']],
  ['a transducer', PRESSURE, ['fit-pressure-sensor']],
  ['a transformer', CURRENT, ['fit-current-clamp']],
] as const)(
  'fitting %s has its cautions in text and JSON, and no others',
  async (_, parts, acts) => {
    const well = write('chain.toml', fileOf(WHOLE, parts + CONVERTER));
    expect(idsIn(await printed('--well', well))).toEqual(union(acts));
    const { chain } = JSON.parse(await printed('--json', '--well', well));
    expect(chain.cautions.toSorted()).toEqual(union(acts));
  },
);

const pairsOf = (channel: string, rows: readonly string[]) =>
  write(
    'pairs.csv',
    `${channel}-raw [V],${channel} [${channel === 'pressure' ? 'psi' : 'A'}],` +
      `${channel} std [${channel === 'pressure' ? 'psi' : 'A'}]\n${rows.join('\n')}\n`,
  );
const LAST =
  '[[calibration]]\nchannel = "pressure"\nfrom = 2025-04-01\nraw = "V"\n' +
  'points = [["0.5 V", "0 psi", "0.3 psi"], ["2.9 V", "60 psi", "0.3 psi"]]\n';

it.each([
  // The next point lies at cut-out.
  ['pressure', '', ['0.5,0,0.5', '1.3,20,0.5', '2.1,40,0.5'], ['compare-pressure-gauge']],
  // The next point lies below cut-in: breaker off, and the heater with it.
  [
    'pressure',
    '',
    ['2.1,40,0.5', '2.5,50,0.5', '2.9,60,0.5'],
    ['compare-pressure-gauge', 'check-pressure-zero'],
  ],
  // Readings at zero are held against the last calibration.
  [
    'pressure',
    LAST,
    ['0.5,0,0.5', '1.3,20,0.5', '2.1,40,0.5'],
    ['compare-pressure-gauge', 'check-pressure-zero'],
  ],
  ['current', '', ['0,0,0.1', '0.2,6,0.1'], ['read-clamp-meter']],
] as const)(
  'taking points of the %s has its cautions, and no others (%#)',
  async (channel, last, rows, acts) => {
    const well = write('plain.toml', fileOf(WHOLE, last));
    const asked = ['--well', well, '--calibrate', pairsOf(channel, rows), '--channel', channel];
    expect(idsIn(await printed(...asked))).toEqual(union(acts));
    const { calibration } = JSON.parse(await printed('--json', ...asked));
    const zero = calibration.overTime.zero?.cautions ?? [];
    expect([...new Set([...calibration.cautions, ...zero])].toSorted()).toEqual(union(acts));
  },
);

it('a burst has the cautions of the panel it comes from', async () => {
  const samples = Array.from({ length: 100 }, (_, i) => Math.sin((2 * Math.PI * 60 * i) / 860));
  const burst = write('burst.csv', `current-raw [V]\n${samples.join('\n')}\n`);
  const well = write('burst.toml', fileOf(WHOLE, CONVERTER));
  const asked = ['--well', well, '--burst', burst];
  expect(idsIn(await printed(...asked))).toEqual(union(['read-clamp-meter']));
  const { burst: told } = JSON.parse(await printed('--json', ...asked));
  expect(told.cautions.toSorted()).toEqual(union(['read-clamp-meter']));
});

it('a question that could send someone to the tank, the panel or the well has its cautions', () => {
  const acts = Object.fromEntries(
    QUESTIONS.flatMap(({ key, act }) => (act === undefined ? [] : [[key, act]])),
  );
  expect(acts).toEqual({
    'tank.precharge': 'precharge',
    'relief.opens': 'see-to-relief',
    'pump.power': 'electrician',
    'well.static_level': 'sounding',
    'cable.size': 'electrician',
  });
  // What the file itself says of such work.
  expect(new Interview().file()).toMatch(/Work on pump, panel or well is for licensed people/);
});
