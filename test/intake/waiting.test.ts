import { afterEach, describe, expect, it } from 'vitest';
import { StoreRefuses } from '../../src/ports/reading-store.ts';
import { bytesOf, type Intake, intakeWith, NOW_S, until } from '../support/intake.ts';
import { MemoryReadings } from '../support/memory-readings.ts';

const open: Intake[] = [];
afterEach(async () => {
  for (const { inbox } of open.splice(0)) await inbox.close();
});
const start = async (store: MemoryReadings) => {
  const intake = await intakeWith({ tryAgainS: 0.05 }, { store });
  open.push(intake);
  return intake;
};

const BEGAN_S = NOW_S - 5000;

/** Sends the pack that the device made at an uptime, when it arrives so much later. */
async function send(
  { reader, inbox, clock }: Intake,
  uptimeS: number,
  delayS: number,
  bt?: number,
) {
  clock.s = BEGAN_S + uptimeS + delayS;
  const pack = JSON.stringify([
    { n: 'boot', v: 4, ...(bt === undefined ? {} : { bt }) },
    { n: 'seq', v: uptimeS },
    { n: 'uptime', u: 's', v: uptimeS },
    { n: 'pressure', u: 'Pa', v: 3e5 + uptimeS },
  ]);
  const packs = reader.read('barn', bytesOf(pack));
  if (typeof packs === 'string') throw new Error(packs);
  return inbox.take(packs[0]!);
}

const times = (store: MemoryReadings) => store.all().map(({ timeS }) => timeS - BEGAN_S);

describe('a device without a clock', () => {
  it('is served over a restart of the service: nothing lost, nothing doubled', async () => {
    const store = new MemoryReadings();
    const first = await start(store);
    for (const uptimeS of [100, 200, 300]) await send(first, uptimeS, 700 - uptimeS);
    await first.inbox.close();
    const second = await start(store);
    await send(second, 300, 420);
    for (const uptimeS of [720, 780, 790]) await send(second, uptimeS, 0.5);
    await until(() => store.all().length === 6);
    expect(times(store)).toEqual([100, 200, 300, 720, 780, 790].map((s) => s + 0.5));
    await second.inbox.close();
    const third = await start(store);
    expect(await send(third, 790, 30)).toMatchObject({ accepted: 0, duplicate: 1 });
    expect(await send(third, 900, 60)).toMatchObject({ accepted: 1 });
    expect(times(store).at(-1)).toBe(900.5);
    expect(await store.waiting()).toEqual([]);
  });

  it('has all its packs put right by one that has a time', async () => {
    const store = new MemoryReadings();
    const intake = await start(store);
    await send(intake, 100, 60);
    await send(intake, 110, 50);
    expect(store.all()).toEqual([]);
    await send(intake, 120, 40, BEGAN_S + 120);
    await until(() => store.all().length === 3);
    expect(times(store)).toEqual([100, 110, 120]);
    expect(await store.boots()).toMatchObject([{ boot: 4, beganS: BEGAN_S, fromDevice: true }]);
    expect(await send(intake, 130, 30)).toMatchObject({ accepted: 1 });
    expect(times(store).at(-1)).toBe(130);
  });

  it('is settled later where the store refuses meanwhile, without doubling', async () => {
    const store = new MemoryReadings();
    const intake = await start(store);
    const settle = store.settle.bind(store);
    let refusals = 0;
    store.settle = (boot) => {
      if (refusals++ < 2) return Promise.reject(new StoreRefuses('disk-full', 'no room'));
      return settle(boot);
    };
    await send(intake, 100, 60);
    expect(await send(intake, 120, 40, BEGAN_S + 120)).toMatchObject({ accepted: 1 });
    await until(() => refusals === 3);
    await until(() => intake.counters.of('settled') === 1);
    expect(times(store)).toEqual([100, 120]);
    expect(await store.waiting()).toEqual([]);
    expect(intake.counters.of('not-acknowledged')).toBe(0);
  });
});
