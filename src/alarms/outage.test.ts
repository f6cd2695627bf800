import { describe, expect, it } from 'vitest';
import { findingOf, keptAlarms, NOON_S } from '../../test/support/alarm-wells.ts';
import { CHANNELS } from '../model/reading.ts';

const PRESSURE = CHANNELS.indexOf('pressure');
const outagesOf = (on: Awaited<ReturnType<typeof keptAlarms>>) =>
  on.entries.flatMap((entry) => (entry.what === 'outage' ? entry.outage : []));

const reading = (timeS: number) => ({
  ...{ wellId: 'ridge-house', device: 'tee', boot: null, seq: null, arrivedS: timeS, refused: [] },
  readings: {
    count: 1,
    timeS: Float64Array.of(timeS),
    channel: Uint8Array.of(PRESSURE),
    value: Float64Array.of(300_000),
  },
});

describe('an outage', () => {
  it('stands in the record after it, with what the well did, and is told', async () => {
    const on = await keptAlarms();
    await on.pass(600, [], { pressurePaGauge: 380_000 });
    await on.restart({ killed: true, awayS: 7200 });
    await on.pass(60, [], { at: new Date((NOON_S + 600) * 1000).toISOString() });
    expect(outagesOf(on)).toEqual([]);
    await on.pass(300, [], { pressurePaGauge: 120_000, pump: { on: true, since: null } });
    const [outage] = outagesOf(on);
    expect(outage).toMatchObject({
      ...{ fromS: NOON_S + 600, toS: NOON_S + 7800, cause: 'power', readings: 0 },
      before: { pressurePaGauge: 380_000, pumpOn: false },
      after: { pressurePaGauge: 120_000, pumpOn: true },
    });
    const [told] = on.phone().told;
    expect(told).toMatchObject({ kind: 'outage', urgency: 'today' });
    expect(told!.text).toContain('from 2026-06-01 12:10 to 2026-06-01 14:10');
    expect(told!.text).toContain('55.1 psi, pump off');
    expect(told!.text).toContain('17.4 psi, pump on');
    expect(told!.text).toContain('Caution: If the breaker has tripped');
  });

  it('in which the devices went on was of the service alone, and is a note', async () => {
    const on = await keptAlarms();
    await on.pass(600);
    await on.restart({ killed: true, awayS: 3600 });
    await on.store.keep([reading(NOON_S + 1800), reading(NOON_S + 2400)]);
    await on.pass(300);
    expect(outagesOf(on)).toMatchObject([{ cause: 'service', readings: 2 }]);
    expect(on.told()).toEqual([]);
  });

  it('is none after a stop on purpose or a short one, and survives another', async () => {
    const on = await keptAlarms();
    await on.pass(600);
    await on.restart({ killed: false, awayS: 7200 });
    await on.pass(600);
    await on.restart({ killed: true, awayS: 30 });
    await on.pass(600);
    expect(outagesOf(on)).toEqual([]);
    await on.restart({ killed: true, awayS: 7200 });
    await on.step();
    await on.restart({ killed: true, awayS: 5 });
    await on.pass(600);
    expect(outagesOf(on)).toHaveLength(1);
    expect(outagesOf(on)[0]!.toS - outagesOf(on)[0]!.fromS).toBeGreaterThan(7000);
  });

  it('is seen when the clock leaps, on a machine that came up with the old time', async () => {
    const on = await keptAlarms();
    await on.pass(600);
    const cutS = on.nowS;
    await on.restart({ killed: true, awayS: -300 });
    await on.pass(30);
    await on.restart({ killed: true, awayS: 1 });
    await on.pass(30);
    on.leap(7200);
    await on.pass(600);
    const [outage, ...more] = outagesOf(on);
    expect(more).toEqual([]);
    expect(Math.abs(outage!.fromS - cutS)).toBeLessThan(2);
    expect(outage!.toS - outage!.fromS).toBeGreaterThan(6000);
    // After a stop that was asked for a leap is none.
    await on.restart({ killed: false, awayS: 1 });
    await on.pass(30);
    on.leap(7200);
    await on.pass(600);
    expect(outagesOf(on)).toHaveLength(1);
  });

  it('is no silence of the device', async () => {
    const on = await keptAlarms();
    for (let i = 0; i < 20; i++) {
      on.heard();
      await on.pass(60);
    }
    await on.restart({ killed: true, awayS: 7200 });
    await on.pass(540);
    on.heard();
    await on.pass(540, [findingOf('heavy-use')]);
    expect(on.keeper.alarms).toEqual([]);
  });
});
