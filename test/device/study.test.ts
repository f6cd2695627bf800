import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { studyLogs } from '../../src/cli/commands/study.ts';
import { CHANNELS } from '../../src/model/reading.ts';
import { parseWellFile } from '../../src/wellfile/parse.ts';
import { textOf } from '../support/source-scan.ts';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { once, T0_S } from './packs.ts';

const PSI_PA = 6894.757;
/** As docs/device.md calibrates it: 0.33 V at 0 psi, 2.97 V at 100 psi. */
const volts = (psi: number) => 0.33 + 0.0264 * psi;
const RUNS = [
  { startS: 60, stopS: 120 },
  { startS: 200, stopS: 260 },
];

it('two runs, the second with the network away: study tells both from the volts', async () => {
  const link = await Link.open();
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-'));
  try {
    const runs = RUNS.flatMap(({ startS, stopS }) => [
      [startS, startS + 0.2, 32],
      [startS + 0.2, stopS, 8],
    ]);
    const pressures = [
      [0, volts(41)],
      ...RUNS.flatMap(({ startS, stopS }) => [
        [startS, volts(40)],
        [stopS, volts(60)],
      ]),
      [400, volts(40)],
    ];
    const settings = { TIME_SERVER: '192.168.1.1' };
    const bench = { sample_us: 2500, runs, pressures };
    const board = await Board.on(link, { settings, bench });
    await board.until(160);
    link.down();
    await board.until(290);
    link.isUp = true;
    await board.until(330);
    await expect
      .poll(() => link.intake.store.packs.length, { timeout: 3000 })
      .toBe(once(link.packs).length);
    const log = join(folder, 'kept.json');
    const records = link.intake.store.all().map(({ channel, timeS, value }) => {
      const name = CHANNELS[channel]!;
      const unit = name.endsWith('-raw') ? 'V' : name === 'start-time' ? 's' : 'A';
      return { n: name, u: unit, t: timeS, v: value };
    });
    writeFileSync(log, JSON.stringify(records));
    const [, toml = ''] = /```toml\n([\s\S]*?)```/.exec(textOf('docs/device.md')) ?? [];
    const parsed = parseWellFile(toml);
    if (!parsed.ok) throw new Error('no well file');
    const result = await studyLogs(parsed.well, [log], { columns: {}, told: [] });
    expect(result.runs).toHaveLength(2);
    for (const [i, run] of result.runs.entries()) {
      const { startS, stopS } = RUNS[i]!;
      const offBy = (instant: string | null, s: number) =>
        Math.abs(Date.parse(instant ?? '') / 1000 - T0_S - s);
      expect(offBy(run.start, startS)).toBeLessThan(1.2);
      expect(offBy(run.stop, stopS)).toBeLessThan(1.2);
      expect(Math.abs(run.meanCurrentA! - 8)).toBeLessThan(0.25);
      expect(Math.abs(run.cutInPaGauge! / PSI_PA - 40)).toBeLessThan(0.5);
      expect(Math.abs(run.cutOutPaGauge! / PSI_PA - 60)).toBeLessThan(0.5);
    }
  } finally {
    rmSync(folder, { recursive: true });
    await link.close();
  }
});
