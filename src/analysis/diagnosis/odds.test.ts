import cephes from 'cephes';
import { beforeAll, describe, expect, it } from 'vitest';
import { FAULT_NAMES } from '../../model/faults.ts';
import { PSI_PA } from '../../units/table.ts';
import { HYPOTHESES } from './hypotheses.ts';
import type { Circumstances } from './hypothesis.ts';
import { longRunOdds } from './long-run.ts';
import { MEASURE, MEASURES } from './measures.ts';
import { below, type Deviations, weigh } from './odds.ts';

const nothing = Object.fromEntries(MEASURES.map((m) => [m, NaN])) as Circumstances['now'];
const here: Circumstances = {
  runCapacitor: true,
  restS: NaN,
  shortestRunS: 60,
  runS: 90,
  now: nothing,
  middlePa: 64 * PSI_PA,
  troubledH: 0,
};

const still = (...measures: (typeof MEASURES)[number][]): Deviations =>
  Object.fromEntries(measures.map((m) => [m, { value: 0, std: MEASURE[m].floor }]));

/** What stays as it was while amps tell of themselves. */
const REST_OF_ALL = ['cut-in', 'cut-out', 'delivery', 'run-length', 'duty', 'stalls'] as const;

beforeAll(() => cephes.compiled);

describe('the normal distribution', () => {
  it('is that of a reference library within its stated error', () => {
    for (let z = -7.5; z <= 7.5; z += 0.37) expect(below(z)).toBeCloseTo(cephes.ndtr(z), 6);
  });
});

describe('odds', () => {
  it('add up to one with a sound well, whatever was seen', () => {
    for (const seen of [{}, still('cut-in', 'amps'), { amps: { value: -0.5, std: 0.02 } }]) {
      const { nothing: sound, faults } = weigh(seen, here);
      expect(sound + faults.reduce((s, f) => s + f.probability, 0)).toBeCloseTo(1, 9);
      for (const { fault } of faults) expect(FAULT_NAMES).toContain(fault);
    }
  });

  it('are for a sound well where nothing moves, and where nothing is seen not far from it', () => {
    expect(
      weigh(still('cut-in', 'cut-out', 'delivery', 'amps', 'loss'), here).nothing,
    ).toBeGreaterThan(0.9);
    expect(weigh({}, here).nothing).toBeGreaterThan(0.7);
  });

  it('of one measure cannot be certain: trouble without a name keeps a share', () => {
    const seen = { ...still('cut-in', 'cut-out', 'delivery'), amps: { value: -0.5, std: 0.012 } };
    const { faults } = weigh(seen, here);
    expect(['current-clamp-gap', 'current-clipped']).toContain(faults[0]!.fault);
    const unnamed = faults.find(({ fault }) => fault === 'unknown-trouble')!;
    expect(unnamed.probability).toBeGreaterThan(0.005);
  });

  it('of what no sound run shows take one run of few for one', () => {
    const seen = (value: number, runs: number) =>
      weigh(
        {
          ...still('cut-in', 'cut-out', 'delivery', 'amps', 'run-length'),
          breaks: { value, std: (MEASURE.breaks.floor * 20) / runs, runs },
        },
        here,
      ).nothing;
    expect(seen(1 / 12, 12)).toBeGreaterThan(0.5);
    expect(seen(1 / 20, 20)).toBeGreaterThan(0.5);
    expect(seen(2 / 20, 20)).toBeLessThan(0.07);
  });

  // Common practice: a reading that is cut off stands flat, a clamp with a gap scales all alike.
  it('part amps that are cut off from those that read low by whether they lean on pressure', () => {
    const low = {
      ...still(...REST_OF_ALL, 'breaks'),
      amps: { value: -0.1, std: 0.012 },
    };
    const leans = { ...low, 'amps-slope': { value: 0, std: 0.25 } };
    const stands = { ...low, 'amps-slope': { value: -1, std: 0.25 } };
    expect(weigh(leans, here).faults[0]!.fault).toBe('current-clamp-gap');
    expect(weigh(stands, here).faults[0]!.fault).toBe('current-clipped');
  });

  // Common practice: a weak run capacitor flattens or turns the slope, drag leaves it.
  it('part a weak run capacitor from drag by the slope of the amps', () => {
    const high = {
      ...still(...REST_OF_ALL, 'breaks'),
      amps: { value: 0.12, std: 0.012 },
    };
    const leans = { ...high, 'amps-slope': { value: 0, std: 0.25 } };
    const turned = { ...high, 'amps-slope': { value: -1.3, std: 0.25 } };
    expect(weigh(leans, here).faults[0]!.fault).toBe('pump-dragging');
    expect(weigh(turned, here).faults[0]!.fault).toBe('run-capacitor-weak');
  });

  it('are of contacts that chatter where amps leap in a share of runs and are steady else', () => {
    const seen = still(...REST_OF_ALL, 'amps', 'jitter');
    const { faults } = weigh({ ...seen, breaks: { value: 0.25, std: 0.02 } }, here);
    expect(faults[0]!.fault).toBe('switch-chatter');
  });

  it('part a sensor that drifted from a switch that did by what delivery seems to do', () => {
    const shift = { value: 5 * PSI_PA, std: 0.6 * PSI_PA };
    const now = { ...nothing, 'cut-in': shift.value, 'cut-out': shift.value };
    const seen = { ...still('amps', 'after-stop', 'loss'), 'cut-in': shift, 'cut-out': shift };
    const fromSwitch = weigh({ ...seen, delivery: { value: 0, std: 0.025 } }, { ...here, now });
    expect(fromSwitch.faults[0]!.fault).toBe('switch-drift');
    const fromSensor = weigh(
      { ...seen, delivery: { value: -0.125, std: 0.025 } },
      { ...here, now },
    );
    expect(fromSensor.faults[0]!.fault).toBe('pressure-drift');
  });

  it('leave level, wear, intake and valve as a group when amps do not tell', () => {
    const seen = {
      ...still('cut-in', 'cut-out', 'loss', 'jitter', 'after-stop', 'fade', 'dip', 'steepest'),
      ...still('flowing', 'duty'),
      delivery: { value: -0.2, std: 0.03 },
      amps: { value: -0.006, std: 0.013 },
    };
    const { faults } = weigh(seen, here);
    const chance = (name: string) => faults.find(({ fault }) => fault === name)!.probability;
    expect(chance('pump-worn')).toBeLessThan(0.8);
    const group = ['pump-worn', 'static-level-falling', 'intake-clogged', 'valve-part-shut'];
    expect(group.reduce((sum, name) => sum + chance(name), 0)).toBeGreaterThan(0.8);
    expect(chance('static-level-falling')).toBeGreaterThan(0.05);
  });

  it('take a change of weeks for chance more rarely than one of the last runs', () => {
    const change = { value: Math.log(0.86), std: MEASURE.delivery.floor };
    const nothing = (more: { sinceS?: number }) =>
      weigh({ ...still('amps', 'cut-in', 'cut-out'), delivery: { ...change, ...more } }, here)
        .nothing;
    expect(nothing({ sinceS: 1000 })).toBeLessThan(nothing({}) / 3);
  });

  it('name a fault or its like for each row of the table, where all it moves has moved', () => {
    const missed: string[] = [];
    // Some are asked only where there is something to look at.
    const looked = { ...nothing, roughness: 0, spikes: 0, peak: 0, 'start-time': 0 };
    for (const row of HYPOTHESES) {
      if (row.hintsOnly !== undefined || row.fault === 'tank-undersized') continue;
      const moves = row.moves({ ...here, now: looked });
      // Seen otherwise only.
      if (moves === null) continue;
      const seen: Deviations = still('cut-in', 'cut-out', 'delivery', 'amps', 'after-stop', 'loss');
      for (const [m, move] of Object.entries(moves) as [(typeof MEASURES)[number], never][]) {
        if (move === 'any') continue;
        const first = (typeof move[0] === 'number' ? move : move[0]) as [number, number];
        seen[m] = { value: (first[0] + first[1]) / 2, std: MEASURE[m].floor };
      }
      const named = weigh(seen, { ...here, now: looked, runS: 200 })
        .faults.slice(0, 4)
        .map((f) => f.fault);
      if (!named.includes(row.fault)) missed.push(`${row.fault}: ${named}`);
    }
    expect(missed).toEqual([]);
  });
});

describe('a run that does not end', () => {
  const run = {
    ampsRatio: 1,
    ampsRelStd: 0,
    jitterRatio: 1,
    position: 0.5,
    rose: 0.4,
    earlyShare: NaN,
    goodForS: NaN,
    hours: 2.1,
  };

  it('is heavy use first, and a burst when it goes on for longer than people draw', () => {
    expect(longRunOdds(run).odds[0]!.fault).toBe('heavy-use');
    expect(longRunOdds({ ...run, hours: 30 }).odds[0]!.fault).toBe('leak-burst');
  });

  it('says by how much each observation speaks for the first over the next', () => {
    const seen = { ...run, ampsRatio: 0.75, position: 0.8, rose: 0.8, goodForS: 2 };
    const { odds, rival, over } = longRunOdds(seen);
    expect(odds.slice(0, 2).map(({ fault }) => fault)).toEqual(['cut-out-unreachable', rival]);
    const all = over.hours + over.pressure + over.amps;
    const [first, next] = odds.map(({ probability }) => probability);
    // Besides them stands only how often the two are met, and the other look of the first.
    expect(Math.abs(Math.log(first! / next!) - all)).toBeLessThan(1.5);
    expect(over.amps).toBeGreaterThan(0);
  });

  it('is told by its amps, their unrest and where pressure stands', () => {
    const first = (seen: Partial<typeof run>) => longRunOdds({ ...run, ...seen }).odds[0]!.fault;
    expect(first({ ampsRatio: 0.7, jitterRatio: 8, position: -0.3 })).toBe('running-dry');
    expect(first({ ampsRatio: 0.68, position: -0.3, rose: 0 })).toBe('pump-uncoupled');
    expect(first({ ampsRatio: 0.75, position: 0.8, rose: 0.8 })).toBe('cut-out-unreachable');
    expect(first({ position: 0.97, rose: 0.97 })).toBe('relief-lifting');
    // It filled as ever, and then stood below where it opens.
    expect(first({ position: 0.86, rose: 0.81, earlyShare: 0.8 })).toBe('relief-lifting');
    // Amps low since the start, and pressure down because somebody draws.
    const worn = { ampsRatio: 0.8, rose: 0.7, goodForS: 2 };
    expect(first({ ...worn, position: -0.3 })).toBe('cut-out-unreachable');
    expect(first({ position: 1.8, rose: 1.8, ampsRatio: 0.9 })).toBe('switch-welded');
  });

  it('in which amps fell late more likely ran dry than one that lacked them at once', () => {
    const low = { ...run, ampsRatio: 0.75, position: 0.7, jitterRatio: 1.5, rose: 0.3 };
    const chance = (fault: string, goodForS: number) =>
      longRunOdds({ ...low, goodForS }).odds.find((one) => one.fault === fault)!.probability;
    expect(longRunOdds({ ...low, goodForS: 3 }).odds[0]!.fault).toBe('cut-out-unreachable');
    expect(chance('running-dry', 90)).toBeGreaterThan(5 * chance('running-dry', 3));
    expect(chance('cut-out-unreachable', 90)).toBeLessThan(chance('cut-out-unreachable', 3));
  });

  it('that filled the tank as ever until pressure stood still has an open relief valve', () => {
    const at = (earlyShare: number) =>
      longRunOdds({ ...run, position: 0.7, rose: 0.7, earlyShare, hours: 24 }).odds[0]!.fault;
    expect(at(1)).toBe('relief-lifting');
    expect(at(0.5)).toBe('leak-burst');
  });

  it('has odds that add up to one', () => {
    for (const jitterRatio of [NaN, 0.5, 20])
      expect(
        longRunOdds({ ...run, jitterRatio }).odds.reduce((s, f) => s + f.probability, 0),
      ).toBeCloseTo(1, 9);
  });
});

// Common practice: what has burst never stops, a lawn does in the end.
describe('water that does not stand still', () => {
  const sign = (hours: number): Deviations => ({
    ...still('cut-in', 'cut-out', 'amps', 'delivery', 'loss'),
    duty: { value: 0.4, std: 0.06 },
    flowing: { value: hours * 3600, std: 2700 },
  });
  const odds = (hours: number) => weigh(sign(hours), here).faults;
  it('for a few hours is heavy use, and a burst pipe beside it', () => {
    const [first, second] = odds(5);
    expect(first!.fault).toBe('heavy-use');
    expect(second!.fault).toBe('leak-burst');
  });
  it('for a day is a burst pipe', () => {
    expect(odds(24)[0]!.fault).toBe('leak-burst');
    expect(odds(24)[0]!.probability).toBeGreaterThan(0.5);
    // Or water that goes back as fast; no use of people.
    const chance = (name: string) => odds(24).find(({ fault }) => fault === name)!.probability;
    expect(chance('heavy-use')).toBeLessThan(0.3 * odds(24)[0]!.probability);
  });
  it('for an hour is nothing', () => {
    const { nothing: sound } = weigh({ ...sign(1), duty: { value: 0.1, std: 0.06 } }, here);
    expect(sound).toBeGreaterThan(0.8);
  });
});

// Common practice: an overload protector opens hot and closes again by itself when it has cooled.
describe('a motor that starts again soon after a stop, far above cut-in', () => {
  it('is one whose overload protector trips', () => {
    const seen = {
      ...still('cut-in', 'amps', 'delivery', 'stalls', 'breaks', 'flickers', 'trips'),
      'cut-out': { value: -1.5 * PSI_PA, std: 0.6 * PSI_PA },
      restarts: { value: 0.4, std: 0.03 },
    };
    expect(weigh(seen, here).faults[0]!.fault).toBe('overload-tripping');
  });
  it('may have reached cut-out each time, its amps as ever', () => {
    const seen = {
      ...still('cut-in', 'cut-out', 'amps', 'delivery', 'stalls', 'breaks', 'flickers'),
      restarts: { value: 0.33, std: 0.03 },
    };
    const { faults } = weigh(seen, { ...here, restS: 150 });
    expect(faults[0]!.fault).toBe('overload-tripping');
    expect(faults[0]!.probability).toBeGreaterThan(0.5);
  });
});

// Handbook F32: a protector is off for two to twenty minutes.
describe('what a fault cannot do', () => {
  const chance = (seen: Deviations, at: Partial<Circumstances>, name: string) =>
    weigh(seen, { ...here, ...at }).faults.find(({ fault }) => fault === name)?.probability ?? 0;
  const trips: Deviations = {
    ...still('amps', 'delivery', 'stalls', 'breaks', 'flickers'),
    'cut-out': { value: -12 * PSI_PA, std: 0.6 * PSI_PA },
    trips: { value: 0.4, std: 0.05 },
    restarts: { value: 0.3, std: 0.03 },
  };
  it('is to cool within seconds, or to open again and again in a breath', () => {
    const now = { ...nothing, flickers: 0.3 };
    expect(chance(trips, { restS: 300 }, 'overload-tripping')).toBeGreaterThan(0.5);
    expect(chance(trips, { restS: 20 }, 'overload-tripping')).toBe(0);
    expect(chance(trips, { restS: 300, now }, 'overload-tripping')).toBe(0);
  });
  it('is to stop the pump after a third of its run by a switch that opens too late', () => {
    const late: Deviations = {
      ...still('amps', 'delivery', 'stalls'),
      'cut-out': { value: 6 * PSI_PA, std: 0.6 * PSI_PA },
    };
    const short = { ...nothing, 'run-length': Math.log(0.1) };
    expect(chance(late, {}, 'switch-nipple-plugged')).toBeGreaterThan(0.1);
    expect(chance(late, { now: short }, 'switch-nipple-plugged')).toBe(0);
  });
});

describe('the peak of the amps at a start', () => {
  const steady = still('cut-in', 'cut-out', 'delivery', 'run-length', 'duty', 'jitter');
  const first = (amps: number, peak: number) =>
    weigh(
      {
        ...steady,
        amps: { value: Math.log(amps), std: 0.012 },
        peak: { value: Math.log(peak), std: 0.03 },
        sudden: { value: 1, std: 0.15 },
      },
      { ...here, now: { ...nothing, amps: Math.log(amps), peak: Math.log(peak) } },
    ).faults[0]!.fault;
  it('is lost where readings are cut off, and shrinks like all amps by a gap in the clamp', () => {
    expect(first(0.8, 0.16)).toBe('current-clipped');
    expect(first(0.8, 0.8)).toBe('current-clamp-gap');
  });
  it('falls by more than running amps tell where a joint takes voltage', () => {
    expect(first(1.04, 0.75)).toBe('joint-hot');
  });
  it('falls further where it is the start circuit, and the start is slow', () => {
    const slow = (peak: number, startS: number) =>
      weigh(
        {
          ...still('cut-in', 'cut-out', 'delivery', 'run-length', 'amps', 'stalls'),
          peak: { value: Math.log(peak), std: 0.03 },
          'start-time': { value: startS, std: 0.06 },
        },
        { ...here, now: { ...nothing, peak: Math.log(peak), 'start-time': startS } },
      ).faults[0]!.fault;
    expect(slow(0.6, 1.3)).toBe('start-circuit-weak');
    expect(slow(0.66, 0.15)).toBe('start-circuit-weak');
    expect(slow(0.82, 0.15)).toBe('joint-hot');
  });
});
