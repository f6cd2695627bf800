import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { countTo, FAIR, HASTY, refusedIn, SKIP_S, seqsOf, T0_S, valuesOf } from './packs.ts';

let link: Link;
beforeEach(async () => {
  link = await Link.open();
});
afterEach(() => link.close());

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
  it.each([0.12, 0.8, 1.6])('tells a start of %f s, wherever readings end', async (lengthS) => {
    const start = [
      [5.3, 5.3 + lengthS, 30],
      [5.3 + lengthS, 1e9, 8],
    ];
    const board = await Board.on(link, { bench: { ...FAIR, runs: start } });
    await board.until(10);
    const lengths = valuesOf(link.packs, 'start-time').map(({ value }) => value);
    expect(lengths).toHaveLength(1);
    expect(Math.abs(lengths[0]! - lengthS)).toBeLessThan(0.03);
  });
  it('tells no length of a start that never ends, or that it did not see begin', async () => {
    const locked = [[5.3, 9, 30]];
    const board = await Board.on(link, { bench: { ...FAIR, runs: locked } });
    await board.until(12);
    expect(Math.max(...valuesOf(link.packs, 'current-peak').map(({ value }) => value))).toBeCloseTo(
      30,
      0,
    );
    board.run('board.runs = [[14, 14.6, 30], [14.6, 1e9, 8]]');
    await board.until(13.9);
    board.run('board.us += 400000');
    await board.until(20);
    expect(valuesOf(link.packs, 'start-time')).toEqual([]);
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

describe('figures of docs/device.md', () => {
  it('28 bytes a reading, 4 KiB a file, 260 bytes a pack and 1.6 kB one of ten', async () => {
    const settings = { TIME_SERVER: '192.168.1.1' };
    const runs = [
      [10, 10.3, 30],
      [10.3, 60, 8],
    ];
    const board = await Board.on(link, { settings, bench: { ...FAIR, runs } });
    await board.until(30);
    const single = link.packs.filter(({ uptimeS }) => (uptimeS ?? 0) > 12);
    expect(single.length).toBeGreaterThan(10);
    for (const { bytes } of single) expect(bytes).toBeLessThanOrEqual(260);
    link.down();
    await board.until(600, SKIP_S);
    link.isUp = true;
    await board.until(620);
    const most = Math.max(...link.packs.map((pack) => pack.bytes));
    expect(most).toBeGreaterThan(1500);
    expect(most).toBeLessThan(1650);
    expect(board.ask('main.READING_SIZE')).toBe(28);
    const file = board.ask<number>('main.HEAD_SIZE + main.FILE_READINGS * main.READING_SIZE');
    expect(file).toBeLessThanOrEqual(4096);
    board.run('import gc\ngc.collect()');
    expect(board.ask('gc.mem_alloc()')).toBeLessThan(70_000);
  });
});
