import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeState, encodeState } from '../../base/snapshot.ts';
import { CHANNELS } from '../../model/reading.ts';
import { createSignal, type SignalConfig, type SignalStage, samplingInWords } from './signal.ts';

const PSI = 6894.757293168361;
const T0 = 1_775_433_600;

type Row = [timeS: number, channel: number, value: number];
type Told = (string | number)[];

const config: SignalConfig = {
  lowest: CHANNELS.map((_, i) => (i === 0 ? -2 * PSI : -0.3)),
  highest: CHANNELS.map((_, i) => (i === 0 ? 150 * PSI : 98)),
  runningAboveA: 2,
  runningAboveRaw: null,
  policy: null,
  longestSilenceS: null,
};

/** Feeds rows to a stage and returns all it told, in order. */
function feed(stage: SignalStage, rows: Row[], told: Told[] = []): Told[] {
  for (const [timeS, channel, value] of rows) stage.step(timeS, channel, value, sinkOf(told));
  return told;
}

function sinkOf(told: Told[]) {
  return {
    reading: (t: number, c: number, v: number) => told.push(['reading', t, c, v]),
    gap: (c: number, from: number, to: number) => told.push(['gap', c, from, to]),
    event: (kind: string, t: number, detail: { phase: string; value: number }) =>
      told.push(['event', kind, t, detail.phase, detail.value]),
  };
}

function whole(rows: Row[], over: Partial<SignalConfig> = {}) {
  const stage = createSignal({ ...config, ...over });
  const told = feed(stage, rows);
  stage.end(sinkOf(told));
  const readings = told.filter(([what]) => what === 'reading');
  return {
    stage,
    told,
    readings,
    gaps: told.filter(([what]) => what === 'gap'),
    events: told.filter(([what]) => what === 'event'),
    aside: Object.fromEntries(stage.setAside().map(({ reason, count }) => [reason, count])),
  };
}

/** A repeatable noise in -0.5 to 0.5 for row i. */
const noise = (i: number) => ((Math.imul(i + 1, 2_654_435_761) >>> 8) % 1000) / 1000 - 0.5;

/** Pressure and current at rest, every `everyS`, rounded as a device would. */
function atRest(fromS: number, count: number, everyS: number): Row[] {
  const rows: Row[] = [];
  for (let i = 0; i < count; i++) {
    const t = fromS + i * everyS;
    rows.push([t, 0, Math.round(5500 + 30 * noise(2 * i)) * 0.01 * PSI]);
    rows.push([t, 1, Math.round(4 + 4 * noise(2 * i + 1)) * 0.01]);
  }
  return rows;
}

describe('order', () => {
  it('puts readings in order of time and channel inside the window', () => {
    const rows = atRest(T0, 60, 5);
    const swapped = [...rows];
    for (let i = 20; i + 3 < swapped.length; i += 14) {
      [swapped[i], swapped[i + 3]] = [swapped[i + 3]!, swapped[i]!];
    }
    expect(whole(swapped).told).toEqual(whole(rows).told);
  });

  it('drops a reading seen before, whatever its value, and a repeated block', () => {
    const rows = atRest(T0, 400, 5);
    const twice: Row = [rows[100]![0], 0, 1];
    const { readings, aside, events } = whole([
      ...rows.slice(0, 102),
      twice,
      ...rows.slice(102, 500),
      ...rows.slice(200, 500),
      ...rows.slice(500),
    ]);
    expect(aside).toEqual({ duplicate: 301 });
    expect(readings).toHaveLength(800);
    expect(events).toEqual([]);
  });

  it('sets one old reading aside as late', () => {
    const rows = atRest(T0, 100, 5);
    const { aside, events } = whole([
      ...rows.slice(0, 150),
      [T0 + 102.5, 0, 50 * PSI],
      ...rows.slice(150),
    ]);
    expect(aside).toEqual({ late: 1 });
    expect(events).toEqual([]);
  });

  it('sets the overlap aside when the clock is set back, and tells it', () => {
    const before = atRest(T0, 720, 5);
    const after = atRest(T0 + 1800 + 2, 720, 5);
    const { aside, events, readings } = whole([...before, ...after]);
    expect(aside).toEqual({ 'clock-back': 2 * 359 });
    expect(events.map(([, kind, , phase]) => [kind, phase])).toEqual([
      ['clock-jump', 'begins'],
      ['clock-jump', 'ends'],
    ]);
    expect(events[0]![4]).toBe(1802 - 3595);
    expect(readings).toHaveLength(2 * 1440 - aside['clock-back']!);
  });

  it('does not take readings kept through a gap and sent late for a clock set back', () => {
    const { aside, events } = whole([
      ...atRest(T0, 200, 5),
      ...atRest(T0 + 4600, 200, 5),
      ...atRest(T0 + 1000, 100, 5),
      ...atRest(T0 + 5600, 10, 5),
    ]);
    expect(aside).toEqual({ late: 200 });
    expect(events).toEqual([]);
  });

  it('sets a few readings far ahead aside', () => {
    const rows = atRest(T0, 300, 5);
    const { aside, readings, gaps } = whole([
      ...rows.slice(0, 300),
      ...atRest(T0 + 86_400, 4, 5),
      ...rows.slice(300),
    ]);
    expect(aside).toEqual({ 'clock-ahead': 8 });
    expect(readings).toHaveLength(600);
    expect(gaps).toEqual([]);
  });

  /** A reading every 5 s of both channels, some of them stamped ahead for a while. */
  const ahead = (count: number, aheadS: number): Row[] =>
    atRest(T0, 4000, 5).map(([t, c, v], i) => [
      i >= 2000 && i < 2000 + count ? t + aheadS : t,
      c,
      v,
    ]);
  const DAY = 86_400;

  it.each([
    [50, 500 * DAY],
    [300, 30 * DAY],
    [400, 3 * DAY],
    [300, 1000 * DAY],
    [40, 3600],
  ])('sets %d readings %d s ahead aside, keeps the rest and tells the clock', (count, aheadS) => {
    const { aside, readings, events, stage } = whole(ahead(count, aheadS));
    expect(aside).toEqual({ 'clock-ahead': count });
    expect(readings).toHaveLength(8000 - count);
    expect(events.map(([, kind, , phase]) => [kind, phase])).toEqual([
      ['clock-jump', 'begins'],
      ['clock-jump', 'ends'],
    ]);
    expect(events[0]![4]).toBeGreaterThan(aheadS - 3000);
    expect(stage.snapshot().order.heldTimeS).toEqual([]);
  });

  it('tells a clock that was ahead for hours, though what follows is lost', () => {
    const { aside, events } = whole([...ahead(1000, 500 * DAY), ...atRest(T0 + 20_000, 4000, 5)]);
    expect(aside['clock-back']).toBe(13_000);
    expect(aside.late).toBeUndefined();
    expect(events.map(([, kind, , phase]) => [kind, phase])).toEqual([['clock-jump', 'begins']]);
  });

  it('holds what follows a step ahead for twenty minutes at most, however large the step', () => {
    for (const stepS of [7200, 30 * DAY, 900 * DAY]) {
      const stage = createSignal(config);
      const told = feed(stage, [...atRest(T0, 200, 5), ...atRest(T0 + stepS, 300, 5)]);
      const newestS = Math.max(...told.map(([, t]) => Number(t)));
      expect(newestS).toBeGreaterThan(T0 + stepS + 1200);
    }
    const quick = createSignal(config);
    feed(quick, [...atRest(T0, 200, 5), ...atRest(T0 + 30 * DAY, 4000, 0.1)]);
    expect(quick.snapshot().order.heldTimeS.length).toBeLessThan(4100);
    expect(quick.used()[0]).toBeGreaterThan(3500);
  });

  it('is set right after a start in 2000, and loses nothing', () => {
    const { aside, readings } = whole([
      ...atRest(Date.UTC(2000, 0, 1) / 1000, 50, 5),
      ...atRest(T0, 1000, 5),
    ]);
    expect(aside).toEqual({});
    expect(readings).toHaveLength(2100);
  });

  it('is not proven by one reading further ahead, nor undone by one from before', () => {
    const wilder: Row[] = [[T0 + 900 * DAY, 0, 50 * PSI]];
    const gone = whole([
      ...atRest(T0, 200, 5),
      ...atRest(T0 + 30 * DAY, 10, 5),
      ...wilder,
      ...atRest(T0 + 1000, 200, 5),
    ]);
    expect(gone.aside).toEqual({ 'clock-ahead': 21 });
    const real = whole([
      ...atRest(T0, 200, 5),
      ...atRest(T0 + 30 * DAY, 10, 5),
      ...wilder,
      ...atRest(T0 + 30 * DAY + 50, 400, 5),
    ]);
    expect(real.aside).toEqual({ 'clock-ahead': 1 });
    expect(real.readings).toHaveLength(400 + 820);
    const straggler: Row = [T0 + 993, 0, 50 * PSI];
    const outage = [...atRest(T0, 200, 5), ...atRest(T0 + DAY, 10, 5)];
    const late = whole([...outage, straggler, ...atRest(T0 + DAY + 50, 400, 5)]);
    expect(late.aside).toEqual({});
    expect(late.gaps).toHaveLength(2);
  });

  it('takes a step ahead that goes on for a gap', () => {
    const { aside, gaps } = whole([...atRest(T0, 200, 5), ...atRest(T0 + 9000, 200, 5)]);
    expect(aside).toEqual({});
    expect(gaps).toEqual([
      ['gap', 0, T0 + 995, T0 + 9000],
      ['gap', 1, T0 + 995, T0 + 9000],
    ]);
  });

  it('sets aside what came before the clock was set, and what is not finite', () => {
    const { aside, readings } = whole([
      [12.5, 0, 50 * PSI],
      [Number.NaN, 0, 50 * PSI],
      [T0, 0, Number.NaN],
      [T0, 1, Number.POSITIVE_INFINITY],
      [T0 + 1, 0, 50 * PSI],
      [9e12, 0, 50 * PSI],
    ]);
    expect(aside).toEqual({
      'clock-unset': 1,
      'unreadable-time': 1,
      'not-finite': 2,
      'clock-ahead': 1,
    });
    expect(readings).toEqual([['reading', T0 + 1, 0, 50 * PSI]]);
  });
});

describe('values', () => {
  it('tells an open and a shorted wire when they last, and when they end', () => {
    const rows = atRest(T0, 300, 5).map((row, i): Row => {
      if (row[1] !== 0) return row;
      if (i >= 100 && i < 140) return [row[0], 0, -12.4 * PSI];
      if (i >= 300 && i < 340) return [row[0], 0, 187 * PSI];
      return row;
    });
    const { events, aside, gaps } = whole(rows);
    expect(aside).toEqual({ 'outside-sensor-range': 40 });
    expect(events.map((event) => event.slice(1, 4))).toEqual([
      ['pressure-wire-open', T0 + 260, 'begins'],
      ['pressure-wire-open', T0 + 350, 'ends'],
      ['pressure-wire-short', T0 + 760, 'begins'],
      ['pressure-wire-short', T0 + 850, 'ends'],
    ]);
    expect(gaps).toEqual([
      ['gap', 0, T0 + 245, T0 + 350],
      ['gap', 0, T0 + 745, T0 + 850],
    ]);
  });

  it('sets aside what devices write for no value, but not an empty tank', () => {
    const rows = atRest(T0, 100, 5);
    const lost = rows.map((row, i): Row => {
      if (i === 80 || i === 120) return [row[0], 0, 0];
      if (i === 140) return [row[0], 0, -1 * PSI];
      if (i === 160) return [row[0], 0, 65_535 * PSI];
      if (i === 161) return [row[0], 1, 65_535];
      if (i === 163) return [row[0], 1, -1];
      return row;
    });
    expect(whole(lost).aside).toEqual({ 'outside-sensor-range': 4, 'counter-full': 2 });
    const drained = rows.map((row, i): Row => (i > 100 && row[1] === 0 ? [row[0], 0, 0] : row));
    expect(whole(drained).aside).toEqual({});
    const off = rows.map((row): Row => (row[1] === 1 ? [row[0], 1, 0] : row));
    expect(whole(off).aside).toEqual({});
  });

  it('tells a full counter from a value that is merely too high', () => {
    const set = (channel: number, value: number) =>
      whole(
        atRest(T0, 100, 5).map(
          (row, i): Row => (i === 80 + channel ? [row[0], channel, value] : row),
        ),
      ).aside;
    const full = [65_535 * PSI, 655.35 * PSI, 65_535_000];
    for (const value of full) expect(set(0, value)).toEqual({ 'counter-full': 1 });
    for (const value of [65_535, 655.35]) expect(set(1, value)).toEqual({ 'counter-full': 1 });
    for (const value of [65_534 * PSI, 655.34 * PSI]) {
      expect(set(0, value)).toEqual({ 'outside-sensor-range': 1 });
    }
    expect(set(1, 65_534)).toEqual({ 'outside-sensor-range': 1 });
    // 655.35 kPa is 95 psi: a pressure like any other
    expect(set(0, 655_350)).toEqual({});
  });

  it('sets a stuck channel aside from the proof on, and takes it back when it moves', () => {
    const rows = atRest(T0, 3000, 5).map((row, i): Row => {
      return row[1] === 0 && i >= 4000 && i < 4400 ? [row[0], 0, 55 * PSI] : row;
    });
    const { aside, events } = whole(rows);
    expect(events.map((event) => [event[1], event[3]])).toEqual([
      ['adc-stuck', 'begins'],
      ['adc-stuck', 'ends'],
    ]);
    expect(aside.stuck).toBeGreaterThan(150);
    expect(aside.stuck).toBeLessThanOrEqual(191);
  });

  it('does not call a coarse or quiet channel stuck', () => {
    const coarse = atRest(T0, 5000, 5).map((row, i): Row => {
      const steps = 55 - Math.floor(i / 2000);
      return row[1] === 0 ? [row[0], 0, steps * PSI] : row;
    });
    expect(whole(coarse).aside).toEqual({});
    const onChange = atRest(T0, 3000, 5).filter(
      ([t], i) => i % 2 === 1 || i < 4000 || (t - T0) % 60 === 0,
    );
    expect(whole(onChange, { policy: 'on-change', longestSilenceS: 60 }).aside).toEqual({});
  });
});

describe('sampling', () => {
  it('learns the rate at rest and while the pump runs, and what a gap is', () => {
    const rows: Row[] = [];
    let t = T0;
    for (let cycle = 0; cycle < 6; cycle++) {
      for (let i = 0; i < 60; i++, t += 5) rows.push([t, 0, (50 + noise(i)) * PSI], [t, 1, 0.04]);
      for (let i = 0; i < 60; i++, t += 1) rows.push([t, 0, (50 + noise(i)) * PSI], [t, 1, 8]);
    }
    const { stage, gaps } = whole(rows);
    const [pressure] = stage.samplingReport();
    expect(pressure).toEqual({
      channel: 0,
      policy: 'fast-while-running',
      restS: 5,
      runS: 1,
      gapAfterS: 25,
    });
    expect(samplingInWords(pressure!)).toBe('pressure: every 5 s at rest, 1 s while the pump runs');
    expect(gaps).toEqual([]);
  });

  it('learns the silences of a device that reports on change', () => {
    const rows: Row[] = [];
    let t = T0;
    for (let i = 0; i < 400; i++) {
      t += i % 7 === 0 ? 60 : 1 + 8 * (noise(i) + 0.5);
      rows.push([t, 0, (50 + noise(i)) * PSI]);
    }
    const { stage, gaps } = whole([...rows, [t + 3000, 0, 50 * PSI]]);
    const [pressure] = stage.samplingReport();
    expect(pressure!.policy).toBe('on-change');
    expect(pressure!.gapAfterS).toBe(120);
    expect(gaps).toEqual([['gap', 0, t, t + 3000]]);
  });

  it('goes by the longest silence of the well file', () => {
    const rows: Row[] = [0, 60, 120, 200, 260].map((t) => [T0 + t, 0, 50 * PSI]);
    const { gaps } = whole(rows, { policy: 'on-change', longestSilenceS: 60 });
    expect(gaps).toEqual([['gap', 0, T0 + 120, T0 + 200]]);
  });

  it('says so when there is too little to learn from', () => {
    const { stage } = whole([[T0, 0, 50 * PSI]]);
    expect(samplingInWords(stage.samplingReport()[0]!)).toBe(
      'pressure: too few readings to tell the rate',
    );
  });
});

/** Rows as wild as a log can make them: jumps, repeats, odd values, several channels. */
const wildRows = fc
  .array(
    fc.tuple(
      fc.oneof(
        { weight: 12, arbitrary: fc.integer({ min: 0, max: 10 }) },
        { weight: 2, arbitrary: fc.integer({ min: -30, max: 30 }) },
        { weight: 1, arbitrary: fc.constantFrom(-4000, 4000, 90_000, -90_000, Number.NaN, -2e9) },
      ),
      fc.constantFrom(0, 0, 0, 1, 1, 1, 4, 8),
      fc.constantFrom(0, 55 * PSI, 54.9 * PSI, 8, 0.04, -1, 65_535, Number.NaN, -1 * PSI, 1e7),
    ),
    { maxLength: 400 },
  )
  .map((steps) => {
    let t = T0;
    return steps.map(([step, channel, value]): Row => {
      if (Number.isNaN(step)) return [step, channel, value];
      t += step;
      return [t, channel, value];
    });
  });

describe('properties', () => {
  it('readings taken are readings handed on plus readings set aside', () => {
    fc.assert(
      fc.property(wildRows, (rows) => {
        const { readings, stage } = whole(rows);
        const aside = stage.setAside().reduce((sum, { count }) => sum + count, 0);
        expect(readings.length + aside).toBe(rows.length);
        expect(stage.used().reduce((a, b) => a + b, 0)).toBe(readings.length);
      }),
    );
  });

  it('everything is told in order of time, and no reading twice', () => {
    fc.assert(
      fc.property(wildRows, (rows) => {
        const { told, readings } = whole(rows);
        let lastS = Number.NEGATIVE_INFINITY;
        for (const one of told) {
          const timeS = Number(one[0] === 'reading' ? one[1] : one[0] === 'gap' ? one[3] : one[2]);
          expect(timeS).toBeGreaterThanOrEqual(lastS);
          lastS = timeS;
        }
        expect(new Set(readings.map(([, t, c]) => `${t} ${c}`)).size).toBe(readings.length);
      }),
    );
  });

  it('a snapshot anywhere, through text, gives the same to the last bit', () => {
    fc.assert(
      fc.property(wildRows, fc.nat(400), (rows, cut) => {
        const at = Math.min(cut, rows.length);
        const first = createSignal(config);
        const told = feed(first, rows.slice(0, at));
        const second = createSignal(config);
        second.restore(decodeState(encodeState(first.snapshot())));
        feed(second, rows.slice(at), told);
        second.end(sinkOf(told));
        const straight = whole(rows);
        expect(told).toEqual(straight.told);
        expect(second.snapshot()).toEqual(straight.stage.snapshot());
        expect(second.samplingReport()).toEqual(straight.stage.samplingReport());
      }),
      { numRuns: 60 },
    );
  });
});
