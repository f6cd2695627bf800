import { describe, expect, it } from 'vitest';
import { beforeTests, house } from '../../test/guided/house.ts';
import { rehearsedLog, wellOf } from '../../test/support/rehearsed-log.ts';
import { CalibrationStage } from '../analysis/calibration/calibration.ts';
import { CHANNELS } from '../model/reading.ts';
import { Gauges } from './gauges.ts';

const PSI_PA = 6894.757293168361;
const LOG = rehearsedLog({ letter: 'C', days: 0.6, seed: 61, restS: 10 });
const ID = LOG.well.id;
/** The same well with a sensor that gives 0.5 V and 0.04 V more for each psi. */
const RAW = {
  ...LOG,
  channel: LOG.channel.map((one) => (one === 0 ? CHANNELS.indexOf('pressure-raw') : one)),
  value: LOG.value.map((pa, i) => (LOG.channel[i] === 0 ? 0.5 + (0.04 * pa) / PSI_PA : pa)),
};
const [startS] = LOG.timeS as [number];

/** True pressure of the last twenty seconds before a time, psi. */
function gaugeAt(timeS: number): string {
  const near = LOG.timeS.flatMap((t, i) =>
    LOG.channel[i] === 0 && t > timeS - 20 && t <= timeS ? [LOG.value[i]! / PSI_PA] : [],
  );
  return `${(near.reduce((sum, one) => sum + one, 0) / near.length).toFixed(2)} psi`;
}

function begun() {
  const its = house(RAW, beforeTests(LOG.toml));
  return { its, gauges: new Gauges(its.ports) };
}

describe('a calibration beside live readings', () => {
  it('takes points, says what is refused, and stands in the file as it was made', async () => {
    const { its, gauges } = begun();
    await expect(gauges.take(ID, 'pressure', '40 psi', '')).rejects.toThrow('begun, found none');
    await gauges.begin(ID, 'pressure');
    await expect(gauges.take(ID, 'pressure', '40 psi', '')).rejects.toThrow('raw reading now');
    await its.upTo(startS + 3600);
    await expect(gauges.take(ID, 'pressure', '40', '')).rejects.toThrow(/expected .*found 40/);
    await expect(gauges.take(ID, 'pressure', '40 psi', '0 psi')).rejects.toThrow('above zero');
    await gauges.take(ID, 'pressure', gaugeAt(startS + 3600), '0.2 psi');
    await expect(gauges.keep(ID, 'pressure', 'record', 'K')).rejects.toThrow(/one point/i);
    const hours = [7, 8, 9.5, 11, 12.5, 13.5];
    for (const hour of hours) {
      const atS = startS + hour * 3600;
      await its.upTo(atS);
      await gauges.take(ID, 'pressure', gaugeAt(atS), '0.2 psi');
    }
    const [pressure] = await gauges.now(ID);
    expect(pressure).toMatchObject({ raw: 'V', inForce: null });
    expect(pressure!.pairs).toHaveLength(hours.length + 1);
    expect(pressure!.holdsFrom.calibration).toBeNull();
    // Nothing was known of the past before it, and all of it after.
    const compared = await gauges.compared(ID, 'pressure', 'record');
    expect(compared.cutOutPaGauge.before).toBeNull();
    expect(compared.cutOutPaGauge.after!.value / PSI_PA).toBeCloseTo(50, -0.5);
    // The switch of this rehearsal repeats to within a psi or two.
    expect(compared.cutOutPaGauge.after!.std! / PSI_PA).toBeGreaterThan(0);
    expect(compared.cutOutPaGauge.after!.std! / PSI_PA).toBeLessThan(1);
    // By the current alone a day is known much less well.
    for (const { usedM3 } of compared.days)
      expect(usedM3.after!.std!).toBeLessThan(usedM3.before!.std!);
    // It is kept where it is made: a service that is started anew has it.
    expect((await new Gauges(its.ports).now(ID))[0]!.pairs).toHaveLength(hours.length + 1);
    await gauges.keep(ID, 'pressure', 'record', 'K');
    const [made] = wellOf(its.file.text).calibrations;
    expect(made).toMatchObject({ channel: 'pressure', raw: 'V', untilS: null });
    expect(made!.fromS).toBeLessThanOrEqual(startS);
    // Within what the pressure moves in twenty seconds while the pump runs.
    for (const { raw, reference } of made!.points)
      expect(Math.abs(raw - (0.5 + (0.04 * reference) / PSI_PA))).toBeLessThan(0.08);
    expect((await gauges.now(ID))[0]).toMatchObject({ pairs: null, inForce: { sensor: null } });
  });

  it('for the whole record takes the place of one that began later, too', async () => {
    const fromS = startS + 4 * 3600;
    const from = new Date(fromS * 1000).toISOString();
    const wrong = `[[calibration]]\nchannel = "pressure"\nfrom = ${from}\nraw = "V"
points = [["0.5 V", "0 psi"], ["4.5 V", "90 psi"]]\n`;
    const its = house(RAW, `${beforeTests(LOG.toml)}\n${wrong}`);
    const gauges = new Gauges(its.ports);
    await gauges.begin(ID, 'pressure');
    for (const hour of [7, 8, 9.5, 11]) {
      const atS = startS + hour * 3600;
      await its.upTo(atS);
      await gauges.take(ID, 'pressure', gaugeAt(atS), '0.2 psi');
    }
    const compared = await gauges.compared(ID, 'pressure', 'record');
    expect(compared.cutOutPaGauge.after!.value / PSI_PA).toBeCloseTo(50, -0.5);
    await gauges.keep(ID, 'pressure', 'record', 'K');
    const stage = new CalibrationStage(wellOf(its.file.text).calibrations);
    for (const timeS of [startS + 60, fromS + 60]) {
      const { points } = stage.inForce(CHANNELS.indexOf('pressure'), timeS)!.record;
      expect(points).toHaveLength(4);
    }
  });

  it('leaves a point out, and is given up', async () => {
    const { its, gauges } = begun();
    await its.upTo(startS + 3600);
    await gauges.begin(ID, 'pressure');
    await gauges.take(ID, 'pressure', '40 psi', '');
    await gauges.take(ID, 'pressure', '41 psi', '');
    await gauges.drop(ID, 'pressure', 0);
    const [pressure, current] = await gauges.now(ID);
    expect(pressure!.pairs!.map(({ reference }) => reference / PSI_PA)).toEqual([41]);
    // By the table of the well file, where nobody says how sure the gauge is.
    expect(pressure!.pairs![0]!.referenceStd / PSI_PA).toBeCloseTo(0.5, 6);
    expect(current).toMatchObject({ now: null, pairs: null });
    expect(current!.plain).toBeGreaterThanOrEqual(0);
    await gauges.giveUp(ID, 'pressure');
    expect((await gauges.now(ID))[0]!.pairs).toBeNull();
  });
});
