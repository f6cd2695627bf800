import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Board } from './board.ts';
import { Link } from './link.ts';
import { countTo, FAIR, HASTY, once, refusedIn, SKIP_S, seqsOf, T0_S, valuesOf } from './packs.ts';

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
    const running = current.filter(({ atS }) => atS > 22 && atS < 58);
    expect(running.length).toBeGreaterThanOrEqual(35);
    for (const { value } of running) expect(Math.abs(value * 30 - 8)).toBeLessThan(0.03);
    const pressure = valuesOf(link.packs, 'pressure-raw');
    for (const { value, atS } of pressure.filter(({ atS }) => atS < 58)) {
      const expected = 1.4 + Math.max(0, (atS - 20) * 0.015);
      expect(Math.abs(value - expected), `at ${atS}`).toBeLessThan(0.002);
    }
    const resting = pressure.filter(({ atS }) => atS > 70);
    expect(resting.length).toBeLessThanOrEqual(5);
    expect(resting.length).toBeGreaterThanOrEqual(3);
    // What stood a second before the start is there too.
    expect(pressure.some(({ atS }) => atS > 18.4 && atS < 20)).toBe(true);
  });
  it('shows its start between readings: peak and how long', async () => {
    const board = await Board.on(link, { bench: { sample_us: 300, runs, pressures } });
    await board.until(24);
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
    board.run('board.runs = [[14, 14.6, 30], [14.6, 1e9, 8]]');
    await board.until(13.9);
    board.run('board.us += 400000');
    await board.until(20);
    expect(valuesOf(link.packs, 'start-time')).toEqual([]);
  });
  it('bears the name of the device where it has one', async () => {
    const board = await Board.on(link, { settings: { DEVICE: 'tee' }, bench: FAIR });
    await board.until(12);
    expect(link.packs.length).toBeGreaterThan(0);
    for (const { device } of link.packs) expect(device).toBe('tee');
  });
});

describe('the clock', () => {
  it('not known: the intake puts the times itself, by the uptime', async () => {
    link.isUp = false;
    const board = await Board.on(link, { bench: { ...HASTY, runs: [[10, 1e9, 8]] } });
    await board.until(120, SKIP_S);
    link.isUp = true;
    await board.until(300);
    expect(
      link.packs.every(({ uptimeS, bootBeganS }) => uptimeS !== null && bootBeganS === null),
    ).toBe(true);
    await expect
      .poll(() => valuesOf(link.intake.store.packs, 'current-raw').length, { timeout: 3000 })
      .toBe(once(link.packs).length);
    const kept = valuesOf(link.intake.store.packs, 'current-raw');
    const first = kept.find(({ value }) => value > 0.2)!;
    expect(Math.abs(first.atS - 10)).toBeLessThan(2.5);
  });
  it('known by NTP later: then every pack has the true time, those from before too', async () => {
    link.isUp = false;
    const settings = { TIME_SERVER: '192.168.1.1' };
    const bench = { ...HASTY, stratum: 0, runs: [[10, 10.5, 30]] };
    const board = await Board.on(link, { settings, bench });
    await board.until(60, SKIP_S);
    link.isUp = true;
    // A server that has no time itself is not believed (RFC 5905 section 7.4).
    await board.until(70);
    expect(link.packs.length).toBeGreaterThan(3);
    expect(link.packs.every(({ bootBeganS }) => bootBeganS === null)).toBe(true);
    link.down();
    board.run('board.runs = [[100, 101, 8]]\nboard.stratum = 2');
    await board.until(130);
    link.isUp = true;
    await board.until(240);
    expect(board.ask<number>('sender.anchor_ms') / 1000 - T0_S).toBeCloseTo(0, 1);
    expect(link.packs.at(-1)!.bootBeganS! - T0_S).toBeCloseTo(0, 1);
    await expect
      .poll(() => valuesOf(link.intake.store.packs, 'current-raw').length, { timeout: 3000 })
      .toBe(once(link.packs).length);
    const kept = valuesOf(link.intake.store.packs, 'current-raw').filter(
      ({ value }) => value > 0.1,
    );
    expect(kept.every(({ atS }) => Math.abs(atS - 10.5) < 1.5 || Math.abs(atS - 100.5) < 1.5)).toBe(
      true,
    );
    expect(kept.length).toBeGreaterThanOrEqual(2);
  });
  it('counts on where the counters of the board begin anew', async () => {
    // ticks_ms wraps at 2^30 ms, ticks_us at 2^30 us: both within these 40 s.
    const bench = { ...FAIR, ticks_from_us: 2 ** 30 * 1000 - 20e6, runs: [[0, 1e9, 8]] };
    const board = await Board.on(link, { bench });
    await board.until(40);
    const times = valuesOf(link.packs, 'current-raw').map(({ atS }) => atS);
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
  it('is obeyed for as long as it says, and then no more', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(30);
    await link.please('{"intervalS":1,"forS":20}');
    await board.until(80);
    const times = valuesOf(link.packs, 'pressure-raw').map(({ atS }) => atS);
    const within = (from: number, to: number) => times.filter((at) => at > from && at < to).length;
    expect(within(8, 30)).toBeLessThanOrEqual(3);
    expect(within(31, 50)).toBeGreaterThanOrEqual(18);
    expect(within(52, 80)).toBeLessThanOrEqual(3);
    expect(refusedIn(link.packs)).toEqual([]);
  });
  it('is left alone where it cannot be read', async () => {
    const board = await Board.on(link, { bench: FAIR });
    await board.until(10);
    for (const content of ['', 'x', '[1]', '{}', '{"forS":"long"}', '{"forS":-1e999}', '7']) {
      await link.please(content);
      await board.until(board.ask<number>('board.us') / 1e6 + 1);
    }
    await board.until(40);
    expect(valuesOf(link.packs, 'pressure-raw').length).toBeLessThanOrEqual(9);
    expect(board.said.filter((line) => line.startsWith('not understood'))).toHaveLength(6);
  });
});
