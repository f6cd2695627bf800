import { describe, expect, it } from 'vitest';
import { checkChain } from './check-chain.ts';
import { parseSensing } from './parse-sensing.ts';
import type { BudgetAt, ChainContext, ChannelName } from './types.ts';

const PSI = 6894.757293168361;
const context: ChainContext = {
  units: 'us',
  cutInPaGauge: 40 * PSI,
  cutOutPaGauge: 60 * PSI,
  reliefPaGauge: 75 * PSI,
  runA: 10,
  inrushA: 60,
};

type Tables = Record<string, Record<string, unknown>>;
const usual: Tables = {
  pressure: { range: '150 psi', output: ['0.5 V', '4.5 V'], ratiometric: false },
  current: { range: '50 A', output: '1 V', class: 1, bias: '1.65 V' },
  converter: { bits: 16, range: '4.8 V', supply: '5 V', reference: 'absolute' },
  sampling: { mains: '60 Hz', window: '200 ms' },
};

function reported(over: Tables) {
  const parts = Object.keys({ ...usual, ...over });
  const sensing = Object.fromEntries(parts.map((key) => [key, { ...usual[key], ...over[key] }]));
  const read = parseSensing(sensing);
  if (!read.ok) throw new Error(JSON.stringify(read.issues));
  return checkChain(read.chain, context);
}
const budget = (over: Tables, channel: ChannelName, at: BudgetAt['at']) =>
  reported(over)
    .channels.find((one) => one.channel === channel)!
    .budgets.find((one) => one.at === at)!;
const row = (over: Tables, of: [ChannelName, BudgetAt['at']], source: string) =>
  budget(over, ...of).rows.find((one) => one.source === source);
/** Limits that a rectangular source stands for, as a share. */
const limitOf = (found: { std: number } | undefined) => (found?.std ?? Number.NaN) * Math.sqrt(3);
const GUESSED = 8;

describe('sources of the pressure', () => {
  const at = ['pressure', 'cut-out'] as [ChannelName, BudgetAt['at']];

  it('are these, with the supply only where it reads as pressure', () => {
    const names = (over: Tables) => budget(over, ...at).rows.map(({ source }) => source);
    const always = [
      'transducer: total error',
      'transducer: temperature',
      'transducer: drift in a year',
      'noise of one reading',
      'resolution of the converter',
      'converter: error',
    ];
    expect(names({})).toEqual(always);
    const divided = { pressure: { divider: ['1 kohm', '2 kohm'] } };
    expect(names(divided)).toEqual([...always, 'divider']);
    expect(names({ pressure: { ratiometric: true } })).toEqual([...always, 'sag of the supply']);
    const both = { pressure: { ratiometric: true }, converter: { reference: 'supply' } };
    expect(names(both)).toEqual(always);
    expect(names({ converter: { reference: 'supply' } })).toContain('sag of the supply');
  });

  it('count as known where they are told and as guesses where they are not', () => {
    const freedom = (over: Tables, source: string) => row(over, at, source)?.degreesOfFreedom;
    expect(freedom({}, 'transducer: total error')).toBe(GUESSED);
    const told = { pressure: { accuracy: '1 %' } };
    expect(freedom(told, 'transducer: total error')).toBe(Number.POSITIVE_INFINITY);
    expect(limitOf(row(told, at, 'transducer: total error'))).toBeCloseTo(0.01, 12);
    const half = { pressure: { temperature_error_per_kelvin: '0.02 %' } };
    expect(freedom(half, 'transducer: temperature')).toBe(GUESSED);
    const whole = { pressure: { ...half.pressure, temperature_swing: '10 K' } };
    expect(freedom(whole, 'transducer: temperature')).toBe(Number.POSITIVE_INFINITY);
    expect(limitOf(row(whole, at, 'transducer: temperature'))).toBeCloseTo(0.002, 12);
    expect(freedom({}, 'resolution of the converter')).toBe(Number.POSITIVE_INFINITY);
    expect(freedom({}, 'noise of one reading')).toBe(GUESSED);
    const noise = { pressure: { noise: '0.1 psi' } };
    expect(freedom(noise, 'noise of one reading')).toBe(Number.POSITIVE_INFINITY);
    expect(row(noise, at, 'noise of one reading')?.kind).toBe('A');
    expect(row(noise, at, 'transducer: total error')?.kind).toBe('B');
  });

  it('take a coarse converter for worse than a fine one, unless told', () => {
    const error = (converter: Record<string, unknown>) =>
      limitOf(row({ converter }, at, 'converter: error'));
    expect(error({ bits: 12 })).toBeCloseTo(0.02, 12);
    expect(error({ bits: 13 })).toBeCloseTo(0.002, 12);
    expect(error({ bits: 12, accuracy: '0.3 %' })).toBeCloseTo(0.003, 12);
  });

  it('list what was taken, once, and only that', () => {
    const { assumed } = reported({});
    expect(new Set(assumed).size).toBe(assumed.length);
    expect(assumed.join('\n')).toMatch(/total error within 2 %/);
    expect(assumed.join('\n')).not.toMatch(/divider|burden|no bias|supply of the sensors/);
    const told = reported({ pressure: { accuracy: '1 %' }, current: { bias: '0 V' } });
    expect(told.assumed.join('\n')).not.toMatch(/total error|no bias/);
    const { bias: _, ...unbiased } = usual.current!;
    const read = parseSensing({ ...usual, current: unbiased });
    expect(checkChain(read.chain!, context).assumed).toContain('transformer: no bias');
  });
});

describe('sources of the current', () => {
  const run = ['current', 'run'] as [ChannelName, BudgetAt['at']];

  it('follow the class as far as it goes, and a guess beyond', () => {
    // Class 1 at 20 % of rated current: 1.5 %.
    expect(limitOf(row({}, run, 'transformer: ratio'))).toBeCloseTo(0.015, 12);
    const start = row(
      { current: { range: '50.1 A' } },
      ['current', 'inrush'],
      'transformer: ratio',
    );
    expect(limitOf(start)).toBeCloseTo(0.01, 12);
    const beyond = { current: { range: '49.9 A' } };
    const guess = row(beyond, ['current', 'inrush'], 'transformer: ratio');
    expect(limitOf(guess)).toBeCloseTo(0.05, 12);
    expect(guess?.degreesOfFreedom).toBe(GUESSED);
    expect(reported(beyond).assumed.join('\n')).toMatch(/within 5 % above 120 %/);
    expect(reported({}).assumed.join('\n')).not.toMatch(/within 5 % above 120 %/);
  });

  it('take a told accuracy, or 2 %, where there is no class', () => {
    const { class: _, ...plain } = usual.current!;
    const at = (more: Record<string, unknown>) => {
      const read = parseSensing({ ...usual, current: { ...plain, ...more } });
      const { channels } = checkChain(read.chain!, context);
      const budgets = channels.find(({ channel }) => channel === 'current')!.budgets;
      const rows = budgets.find((one) => one.at === 'run')!.rows;
      return limitOf(rows.find(({ source }) => source === 'transformer: ratio'));
    };
    expect(at({ accuracy: '0.7 %' })).toBeCloseTo(0.007, 12);
    expect(at({})).toBeCloseTo(0.02, 12);
  });

  it('have the floor alone at no current, and hardly while it runs', () => {
    const noise = { current: { noise: '0.06 A' } };
    const zero = budget(noise, 'current', 'zero');
    const main = zero.rows.find(({ source }) => source === 'noise of one reading');
    expect(main?.contribution).toBeCloseTo(0.06, 12);
    expect(main?.share).toBeGreaterThan(0.99);
    const source = row(noise, run, 'noise of one reading');
    expect(source?.contribution).toBeCloseTo(Math.hypot(10, 0.06) - 10, 12);
  });

  it('have a burden where the output is a current, the supply where it is the reference', () => {
    const names = (over: Tables) => budget(over, ...run).rows.map(({ source }) => source);
    expect(names({})).not.toContain('burden');
    const current = { output: '20 mA', burden: '50 ohm' };
    expect(names({ current })).toContain('burden');
    expect(limitOf(row({ current }, run, 'burden'))).toBeCloseTo(0.01, 12);
    expect(names({})).not.toContain('supply as the reference');
    const supply = { converter: { reference: 'supply' } };
    expect(names(supply)).toContain('supply as the reference');
    expect(names({ current: { divider: ['1 kohm', '1 kohm'] } })).toContain('divider');
  });

  it('have the window as a swing of unknown phase, where it is told', () => {
    const off = row({ sampling: { window: '204 ms' } }, run, 'window of the RMS value');
    const angle = 2 * Math.PI * 60 * 0.204;
    const worst = 1 - Math.sqrt(1 - Math.abs(Math.sin(angle)) / angle);
    expect(off?.std).toBeCloseTo(worst / Math.SQRT2, 12);
    expect(off?.distribution).toBe('arcsine');
    expect(off?.degreesOfFreedom).toBe(Number.POSITIVE_INFINITY);
    const read = parseSensing({ ...usual, sampling: { mains: '60 Hz' } });
    const { channels } = checkChain(read.chain!, context);
    const rows = channels.flatMap(({ budgets }) => budgets.flatMap((one) => one.rows));
    expect(rows.some(({ source }) => source.startsWith('window'))).toBe(false);
  });
});

it('makes a budget for each value that is known, and none without a converter', () => {
  const names = (over: Partial<ChainContext>, sensing: Tables = usual) => {
    const { channels } = checkChain(parseSensing(sensing).chain!, { ...context, ...over });
    return channels.flatMap(({ budgets }) => budgets.map(({ at }) => at));
  };
  expect(names({})).toEqual(['zero', 'cut-in', 'cut-out', 'zero', 'run', 'inrush']);
  expect(names({ cutInPaGauge: null, inrushA: null })).toEqual(['zero', 'cut-out', 'zero', 'run']);
  const { converter: _, ...blind } = usual;
  expect(names({}, blind)).toEqual([]);
  expect(names({}, { ...usual, converter: { range: '4.8 V' } })).toEqual([]);
  expect(names({}, { ...usual, converter: { bits: 16 } })).toEqual([]);
});

it('gives counts, resolution and use of the range from the chain', () => {
  const [pressure, current] = reported({}).channels;
  const step = 4.8 / 65_536;
  expect(pressure!.resolution! / PSI).toBeCloseTo((step / 4) * 150, 12);
  expect(pressure!.countsPerUnit! * pressure!.resolution!).toBeCloseTo(1, 12);
  expect(pressure!.rangeUsed).toBeCloseTo(4.5 / 4.8, 12);
  expect(current!.resolution!).toBeCloseTo(step * 50, 12);
  expect(current!.rangeUsed).toBeCloseTo((2 * Math.SQRT2 * 0.2) / 4.8, 12);
  expect(pressure!.gain).toMatchObject({ inUseV: 4.8, chosenV: 4.8 });
  const ranges = { converter: { range: ['2 V', '4.6 V', '6 V'] } };
  const chosen = reported(ranges).channels;
  // 4.5 V of pressure; 1.65 V and 1.2 sqrt 2 V of a start.
  expect(chosen.map(({ gain }) => [gain?.inUseV, gain?.chosenV])).toEqual([
    [null, 4.6],
    [null, 4.6],
  ]);
  const tight = reported({ converter: { range: ['2 V', '2.2 V', '3 V'] } }).channels;
  expect(tight.map(({ gain }) => gain?.chosenV)).toEqual([3, 2]);
  expect(tight[0]?.gain?.why).toMatch(/no range holds full pressure \(4.5 V\): the widest/);
  expect(tight[1]?.gain?.why).toMatch(/no range holds the start \(3.347 V\); .* running current/);
});
