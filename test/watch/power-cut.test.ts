import { expect, it } from 'vitest';
import { SimulatedService } from '../../bench/support/simulated-service.ts';
import type { AlarmEntry, Notice } from '../../src/model/alarm.ts';
import { rehearsedLog } from '../support/rehearsed-log.ts';

it('a stall told before a power cut is not told again after it; the cut is', async () => {
  const faults = [{ name: 'rotor-locked' as const, onsetDay: 1.3 }];
  const log = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 5, faults });
  const told: Notice[] = [];
  const entries: AlarmEntry[] = [];
  const service = await SimulatedService.open({
    well: log.well,
    alarms: { settings: { receivers: [], heartbeat: null, push: null }, folder: '.' },
    startS: log.timeS[0]! - 1,
    tell: (event) => {
      if (event.kind !== 'alarm') return;
      entries.push(event.entry);
      const { entry } = event;
      // The first day goes by in leaps, which are notes of the service alone.
      if (entry.what === 'notice' && entry.notice.urgency !== 'note') told.push(entry.notice);
    },
  });
  try {
    let at = 0;
    const go = async (untilS: number, stepS: number) => {
      while (service.nowS < untilS) {
        service.nowS = Math.min(service.nowS + stepS, untilS);
        const from = at;
        while (at < log.timeS.length && log.timeS[at]! <= service.nowS) at += 1;
        if (!service.isOn) continue;
        await service.takeReadings(log, from, at);
        await service.advance();
      }
    };
    const onsetS = log.timeS[0]! + 1.3 * 86_400;
    await go(onsetS, 1800);
    for (let s = 0; told.length === 0 && s < 12 * 3600; s += 10) await go(service.nowS + 10, 10);
    expect(told.map(({ fault, urgency }) => [fault, urgency])).toEqual([['rotor-locked', 'now']]);
    await go(service.nowS + 120, 10);

    const cutS = service.nowS;
    await service.powerOff();
    await go(cutS + 3600, 600);
    await service.powerOn();
    await go(cutS + 3600 + 400, 10);

    const [, outage, ...rest] = told;
    expect(outage).toMatchObject({ kind: 'outage', urgency: 'today' });
    expect(rest).toEqual([]);
    const cut = entries.flatMap((entry) =>
      entry.what === 'outage' && entry.outage.cause === 'power' ? entry.outage : [],
    );
    expect(cut).toMatchObject([{ cause: 'power', readings: 0, before: {}, after: {} }]);
    expect(cut[0]!.fromS).toBeGreaterThanOrEqual(cutS - 60);
    expect(cut[0]!.toS).toBe(cutS + 3600);
    const [stall] = service.alarms.get(log.well.id)!.alarms;
    expect(stall).toMatchObject({ fault: 'rotor-locked', state: 'unacknowledged', times: 1 });
  } finally {
    await service.close();
  }
});
