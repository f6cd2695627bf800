import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CHANNELS, type Channel } from '../../src/model/reading.ts';
import { Board } from './board.ts';
import { Link, type Received } from './link.ts';

/** One sample in 4 ms and nine tenths of the time elsewhere: an hour passes in two seconds. */
const HASTY = { sample_us: 4000 };
const SKIP_S = 0.9;
const FAIR = { sample_us: 1000 };
const T0_S = 1_775_433_600;

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

/** Packs without those that came before, by (boot, seq). */
function once(packs: readonly Received[]): Received[] {
  const seen = new Set<string>();
  return packs.filter(({ boot, seq }) => {
    const key = `${boot}/${seq}`;
    return !seen.has(key) && seen.add(key);
  });
}
const valuesOf = (packs: readonly Received[], channel: Channel) =>
  packs.flatMap((pack) =>
    pack.readings
      .filter((reading) => reading.channel === CHANNELS.indexOf(channel))
      .map(({ value, timeS, relative }) => ({
        value,
        uptimeS: relative ? (pack.uptimeS ?? Number.NaN) + timeS : timeS - T0_S,
      })),
  );
const seqsOf = (packs: readonly Received[]) => packs.map(({ seq }) => seq ?? -1);
const countTo = (count: number) => Array.from({ length: count }, (_, i) => i);
const refusedIn = (packs: readonly Received[]) => packs.flatMap(({ refused }) => refused);

describe('a run of the pump', () => {
  const runs = [
    [20, 20.35, 30],
    [20.35, 60, 8],
  ];
  const pressures = [
    [0, 1.4],
    [20, 1.4],
    [60, 2],
  ];
  it('comes each second, the rest each ten, in order and with true values', async () => {
    const board = await Board.on(link, { bench: { ...FAIR, runs, pressures } });
    await board.until(100);
    expect(refusedIn(link.packs)).toEqual([]);
    expect(seqsOf(link.packs)).toEqual(countTo(link.packs.length));
    const current = valuesOf(link.packs, 'current-raw');
    const running = current.filter(({ uptimeS }) => uptimeS > 22 && uptimeS < 58);
    expect(running.length).toBeGreaterThanOrEqual(35);
    for (const { value } of running) expect(Math.abs(value * 30 - 8)).toBeLessThan(0.03);
    const pressure = valuesOf(link.packs, 'pressure-raw');
    for (const { value, uptimeS } of pressure.filter(({ uptimeS }) => uptimeS < 58)) {
      const expected = 1.4 + Math.max(0, (uptimeS - 20) * 0.015);
      expect(Math.abs(value - expected), `at ${uptimeS}`).toBeLessThan(0.002);
    }
    const resting = pressure.filter(({ uptimeS }) => uptimeS > 70);
    expect(resting.length).toBeLessThanOrEqual(5);
    expect(resting.length).toBeGreaterThanOrEqual(3);
    // What stood a second before the start is there too.
    expect(pressure.some(({ uptimeS }) => uptimeS > 18.4 && uptimeS < 20)).toBe(true);
  });
  it('shows its start between readings: peak and how long', async () => {
    const board = await Board.on(link, { bench: { ...FAIR, runs, pressures } });
    await board.until(40);
    const peaks = valuesOf(link.packs, 'current-peak').map(({ value }) => value);
    expect(Math.abs(Math.max(...peaks) - 30)).toBeLessThan(0.3);
    // A start may lie on both sides of the end of a reading.
    expect(peaks.filter((peak) => peak > 12).length).toBeLessThanOrEqual(2);
    const lengths = valuesOf(link.packs, 'start-time');
    expect(lengths).toHaveLength(1);
    expect(Math.abs(lengths[0]!.value - 0.35)).toBeLessThan(0.03);
    // The mean of the second holds the start by its energy.
    const greatest = Math.max(...valuesOf(link.packs, 'current-raw').map(({ value }) => value));
    expect(greatest * 30).toBeLessThan(Math.sqrt(0.35 * 30 ** 2 + 0.65 * 8 ** 2) + 1);
  });
  it('in SI units where the settings say so, with the name of the device', async () => {
    const settings = { SEND: 'si', DEVICE: 'tee' };
    const board = await Board.on(link, { settings, bench: { ...FAIR, runs, pressures } });
    await board.until(30);
    expect(refusedIn(link.packs)).toEqual([]);
    const pressures0 = valuesOf(link.packs, 'pressure');
    expect(Math.abs(pressures0[0]!.value - (1.4 - 0.33) * 2.61e5)).toBeLessThan(300);
    const last = valuesOf(link.packs, 'current').at(-1);
    expect(Math.abs(last!.value - 8)).toBeLessThan(0.03);
    expect(link.packs[0]!.records[0]).toMatchObject({ bn: 'tee/', n: 'boot' });
  });
});

describe('the clock', () => {
  it('gives no time until it is set, then the true one', async () => {
    const settings = { TIME_SERVER: '192.168.1.1' };
    link.isUp = false;
    const board = await Board.on(link, { settings, bench: HASTY });
    await board.until(60, SKIP_S);
    link.isUp = true;
    await board.until(120, SKIP_S);
    const isTimed = link.packs.map(({ readings }) => readings.every(({ relative }) => !relative));
    expect(isTimed.at(-1)).toBe(true);
    for (const pack of link.packs.filter((_, i) => isTimed[i])) {
      const at = pack.readings.at(-1)!.timeS - T0_S - 0;
      expect(Math.abs(at - pack.uptimeS!)).toBeLessThan(1.1);
    }
  });
  it('counts on where the counters of the board begin anew', async () => {
    // ticks_ms wraps at 2^30 ms, ticks_us at 2^30 us: both within these 40 s.
    const bench = { ...FAIR, ticks_from_us: 2 ** 30 * 1000 - 20e6, runs: [[0, 1e9, 8]] };
    const board = await Board.on(link, { bench });
    await board.until(40);
    const times = valuesOf(link.packs, 'current-raw').map(({ uptimeS }) => uptimeS);
    expect(times.length).toBeGreaterThanOrEqual(37);
    times.slice(1).forEach((at, i) => {
      expect(at - times[i]!).toBeGreaterThan(0.9);
      expect(at - times[i]!).toBeLessThan(1.1);
    });
    for (const { value } of valuesOf(link.packs, 'current-raw').slice(1))
      expect(Math.abs(value * 30 - 8)).toBeLessThan(0.03);
  });
});

describe('the network away', () => {
  const busy = { ...HASTY, runs: [[0, 1e9, 8]] };
  it('for two hours: all comes once, from flash, in order', async () => {
    const settings = { KEEP_FILES: 60 };
    const board = await Board.on(link, { settings, bench: busy });
    await board.until(30, 2 * SKIP_S);
    link.down();
    await board.until(7230, 2 * SKIP_S);
    expect(board.ask('len(sender.store.files)')).toBeGreaterThan(10);
    link.isUp = true;
    await board.until(7260);
    expect(board.ask('len(sender.store.files)')).toBe(0);
    const kept = once(link.packs);
    expect(refusedIn(kept)).toEqual([]);
    expect(seqsOf(kept)).toEqual(countTo(kept.length));
    const times = valuesOf(kept, 'pressure-raw').map(({ uptimeS }) => uptimeS);
    expect(times).toEqual(times.toSorted((a, b) => a - b));
    const steps = times.slice(1).map((at, i) => at - times[i]!);
    expect(Math.max(...steps)).toBeLessThan(4.2);
    expect(board.ask('sender.store.dropped')).toBe(0);
    expect(times.length).toBeGreaterThan(1700);
  });
  it('longer than there is room: the oldest go, and each is counted', async () => {
    for (const settings of [
      { KEEP_FILES: 3, KEEP_IN_RAM: 400 },
      { KEEP_FILES: 0, KEEP_IN_RAM: 400 },
    ]) {
      const from = link.packs.length;
      link.isUp = false;
      const board = await Board.on(link, { settings, bench: busy });
      await board.until(1200, SKIP_S);
      link.isUp = true;
      await board.until(1210);
      const kept = once(link.packs.slice(from));
      const dropped = board.ask<number>('sender.store.dropped');
      expect(dropped).toBeGreaterThan(100);
      const seqs = seqsOf(kept);
      const first = seqs[0]!;
      expect(seqs).toEqual(countTo(seqs.length).map((i) => first + i));
      // Ten readings a pack while it was away: the hole in seq is what was dropped.
      expect(dropped).toBe(first * 10);
      expect(board.said.some((line) => line.startsWith(`${dropped} readings dropped`))).toBe(true);
      link.down();
    }
  });
});

describe('an acknowledgement lost', () => {
  it.each(['mqtt', 'http'])(
    'over %s: sent again with the same seq, nothing missing',
    async (way) => {
      const settings = { WAY: way, PORT: way === 'mqtt' ? 1883 : 8080 };
      const board = await Board.on(link, { settings, bench: { ...FAIR, runs: [[0, 1e9, 8]] } });
      await board.until(6);
      link.acknowledgementsToLose = 2;
      await board.until(40);
      expect(link.acknowledgementsToLose).toBe(0);
      const seqs = seqsOf(link.packs);
      expect(seqs.length).toBe(new Set(seqs).size + 2);
      expect(seqsOf(once(link.packs))).toEqual(countTo(new Set(seqs).size));
      const twice = seqs.find((seq, i) => seqs.indexOf(seq) !== i)!;
      const same = link.packs.filter(({ seq }) => seq === twice);
      expect(same.length).toBeGreaterThan(1);
      for (const pack of same) expect(pack.records).toEqual(same[0]!.records);
    },
  );
});

describe('the power fails', () => {
  it('amid an outage: a new boot, what flash holds comes with the old one', async () => {
    link.isUp = false;
    const busy = { ...HASTY, runs: [[0, 1e9, 8]] };
    const board = await Board.on(link, { bench: busy });
    await board.until(1000, SKIP_S);
    const boot = board.ask<number>('sender.store.boot');
    const inRam = board.ask<number>('sender.store.count');
    const made = board.ask<number>('sender.store.seq') + 1;
    const flash = board.flash();
    flash.set('waiting/part', new Uint8Array([1, 2, 3]));
    link.isUp = true;
    const after = await Board.on(link, { bench: busy, flash, seed: 2 });
    await after.until(20);
    expect(after.ask('sender.store.boot')).toBe(boot + 1);
    const old = once(link.packs).filter((pack) => pack.boot === boot);
    expect(seqsOf(old)).toEqual(countTo(old.length));
    expect(made - old.length).toBe(Math.ceil(inRam / 10));
    expect(inRam).toBeLessThanOrEqual(146);
    const fresh = once(link.packs).filter((pack) => pack.boot === boot + 1);
    expect(fresh[0]!.seq).toBe(0);
    expect(fresh.length + old.length).toBe(once(link.packs).length);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  it('and the memory is wiped: the boot number is no old one', async () => {
    const boots: number[] = [];
    for (const seed of [1, 2, 3]) {
      const board = await Board.on(link, { seed });
      boots.push(board.ask<number>('sender.store.boot'));
    }
    expect(new Set(boots).size).toBe(3);
    const flash = new Map([['boot', new TextEncoder().encode('torn?')]]);
    const board = await Board.on(link, { seed: 4, flash });
    expect(board.ask('sender.store.boot')).toBeGreaterThan(0);
  });
});

describe('please', () => {
  const ask = (content: string) =>
    new Promise<void>((done, failed) =>
      link.aedes.publish(
        {
          cmd: 'publish',
          topic: 'wells/my-well/please',
          payload: Buffer.from(content),
          qos: 0,
          retain: false,
          dup: false,
        },
        (error) => (error ? failed(error) : done()),
      ),
    );
  it('is obeyed for as long as it says, and then no more', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(30);
    await ask('{"intervalS":0.5,"forS":20}');
    await board.until(80);
    const times = valuesOf(link.packs, 'pressure-raw').map(({ uptimeS }) => uptimeS);
    const within = (from: number, to: number) => times.filter((at) => at > from && at < to).length;
    expect(within(8, 30)).toBeLessThanOrEqual(3);
    expect(within(31, 50)).toBeGreaterThanOrEqual(35);
    expect(within(52, 80)).toBeLessThanOrEqual(3);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  it('is left alone where it cannot be read or asks too much', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(10);
    for (const content of ['', 'x', '[1]', '{}', '{"intervalS":0.01,"forS":5}', '7']) {
      await ask(content);
      await board.until(board.ask<number>('board.us') / 1e6 + 1);
    }
    await ask('{"intervalS":0.5,"forS":1e9}');
    await board.until(40);
    expect(valuesOf(link.packs, 'pressure-raw').length).toBeLessThanOrEqual(9);
    expect(board.said.some((line) => line.startsWith('not understood'))).toBe(true);
  });
});

describe('figures', () => {
  it('28 bytes a reading in memory, 4 KiB a file, below 210 and 1500 bytes a pack', async () => {
    const board = await Board.on(link, { bench: HASTY });
    await board.until(5, SKIP_S);
    expect(board.ask('main.READING_SIZE')).toBe(28);
    expect(
      board.ask('main.HEAD_SIZE + main.FILE_READINGS * main.READING_SIZE'),
    ).toBeLessThanOrEqual(4096);
    link.down();
    await board.until(600, SKIP_S);
    link.isUp = true;
    await board.until(660, SKIP_S);
    const bytes = link.packs.map((pack) => pack.bytes);
    expect(Math.min(...bytes)).toBeLessThan(210);
    expect(Math.max(...bytes)).toBeLessThan(1700);
  });
});
