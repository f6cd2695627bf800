import { describe, expect, it } from 'vitest';
import { findingOf, keptAlarms, NOON_S, receiverOf } from '../../test/support/alarm-wells.ts';
import { AlarmRefusal } from './alarm-keeper.ts';

const BURST = findingOf('leak-burst');
const DRY = findingOf('running-dry');
const WATERLOGGED = findingOf('tank-waterlogged');
const LEAK = findingOf('fixture-running');
const WIRE = findingOf('pressure-wire-open');
const HOUR_S = 3600;

describe('an alarm', () => {
  it('that cannot wait is told at once and once, with act and cautions', async () => {
    const on = await keptAlarms();
    await on.step([BURST]);
    expect(on.told()).toEqual(['raised leak-burst']);
    await on.pass(3 * 86_400, [BURST]);
    expect(on.told()).toHaveLength(1);
    const { subject, text, urgency } = on.phone().told[0]!;
    expect(subject).toBe('Now: a pipe has burst (Ridge house)');
    expect(urgency).toBe('now');
    for (const part of ['Do: Look for running water', 'Caution: ', 'Wait: It cannot wait'])
      expect(text).toContain(part);
    expect(text).toContain('If left: The house can flood');
    expect(text.indexOf('Caution')).toBeLessThan(text.indexOf('If left'));
  });

  it('of less urgency waits for its delay on, and what passes before is not told', async () => {
    const on = await keptAlarms();
    await on.pass(540, [LEAK]);
    await on.pass(60, []);
    expect(on.told()).toEqual([]);
    expect(on.whats()).toEqual(['seen', 'passed']);
    await on.pass(720, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running']);
  });

  it('is none for a note, nor below the belief that it takes', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [findingOf('heavy-use'), findingOf('leak-burst', { probability: 0.25 })]);
    expect(on.entries).toEqual([]);
  });

  it('counts every name of the trouble that is as urgent', async () => {
    const on = await keptAlarms();
    const instead = [{ fault: 'pump-uncoupled', probability: 0.2 }];
    await on.step([findingOf('running-dry', { probability: 0.2, instead })]);
    expect(on.told()).toEqual(['raised running-dry']);
  });

  it('asks for a look at what may be worse, and at once if the pump runs on', async () => {
    const on = await keptAlarms();
    const instead = [{ fault: 'leak-burst', probability: 0.12 }];
    const use = findingOf('heavy-use', { probability: 0.88, instead });
    await on.pass(HOUR_S, [use]);
    expect(on.phone().told.map(({ subject }) => subject)).toEqual([
      'Today: heavy use of water, or a pipe has burst (Ridge house)',
    ]);
    await on.pass(2 * HOUR_S, [use]);
    expect(on.told()).toHaveLength(1);
    const runs = { pump: { on: true, since: null } };
    await on.pass(1800, [use], runs);
    expect(on.told()).toHaveLength(1);
    await on.pass(1200, [use], runs);
    await on.pass(HOUR_S, [use]);
    expect(on.told()).toHaveLength(2);
    expect(on.phone().told[1]).toMatchObject({ kind: 'worse', urgency: 'now' });
    expect(on.phone().told[1]!.text).toContain('Or else: a pipe has burst 12');
  });

  it('keeps standing within the deadband and its delay off, and is over after both', async () => {
    const on = await keptAlarms();
    await on.step([BURST]);
    await on.pass(HOUR_S, [{ ...BURST, probability: 0.25 }]);
    expect(on.keeper.alarms[0]!.state).toBe('unacknowledged');
    await on.pass(240, []);
    await on.pass(60, [BURST]);
    expect(on.keeper.alarms[0]!.goneS).toBeNull();
    await on.pass(300, []);
    expect(on.keeper.alarms[0]!.state).toBe('unacknowledged');
    await on.pass(60, []);
    expect(on.keeper.alarms[0]!.state).toBe('returned-unacknowledged');
    expect(on.told()).toEqual(['raised leak-burst', 'over leak-burst']);
    on.keeper.acknowledge(on.keeper.alarms[0]!.id, 'Upstairs');
    expect(on.keeper.alarms[0]!).toMatchObject({
      state: 'normal',
      acknowledged: { by: 'Upstairs' },
    });
  });

  it('that comes and goes is one alarm; what can wait is told once a day at most', async () => {
    const on = await keptAlarms();
    for (let round = 0; round < 5; round++) {
      await on.pass(HOUR_S, [LEAK]);
      await on.pass(2 * HOUR_S, []);
    }
    expect(on.keeper.alarms).toHaveLength(1);
    expect(on.keeper.alarms[0]!.times).toBe(5);
    expect(on.told()).toEqual(['raised fixture-running']);
    await on.pass(25 * HOUR_S, []);
    await on.pass(HOUR_S, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running', 'raised fixture-running']);
  });

  it('goes on when its finding is renamed or replaced, and is told as worse', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [LEAK]);
    const history = [{ at: LEAK.since, fault: 'fixture-running', probability: 0.9 }];
    await on.pass(HOUR_S, [findingOf('leak-house', { history })]);
    expect(on.keeper.alarms).toHaveLength(1);
    expect(on.keeper.alarms[0]!.fault).toBe('leak-house');
    expect(on.told()).toHaveLength(1);
    // Another finding takes its place: leak-burst looks like leak-house.
    await on.step([BURST]);
    expect(on.keeper.alarms).toHaveLength(1);
    expect(on.told().at(-1)).toBe('worse leak-burst');
  });

  it('is the same where readings read again give its finding another id', async () => {
    const on = await keptAlarms();
    await on.step([{ ...BURST, id: 'finding-3' }]);
    await on.step([{ ...BURST, id: 'finding-7' }]);
    expect(on.keeper.alarms).toMatchObject([{ finding: 'finding-7', times: 1 }]);
    expect(on.told()).toHaveLength(1);
  });

  it('that was acknowledged as less is not acknowledged as worse', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [LEAK]);
    on.keeper.acknowledge('alarm-1', 'Upstairs');
    const same = { fault: 'fixture-running', probability: 1, at: LEAK.since };
    await on.step([{ ...BURST, history: [same] }]);
    expect(on.keeper.alarms[0]).toMatchObject({ state: 'unacknowledged', acknowledged: null });
  });

  it('is neither raised nor over by readings of before', async () => {
    const on = await keptAlarms();
    const replay = { replay: { at: 'then' } };
    await on.step([BURST], replay);
    expect(on.told()).toEqual([]);
    await on.step([BURST]);
    await on.pass(HOUR_S, [], replay);
    expect(on.keeper.alarms[0]!.state).toBe('unacknowledged');
    expect(on.keeper.alarms[0]!.goneS).toBeNull();
  });
});

describe('one cause, one alarm', () => {
  it('a root of the same weight keeps its consequence quiet, and then lets go', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [DRY, findingOf('cut-out-unreachable')]);
    expect(on.told()).toEqual(['raised running-dry']);
    const follows = on.keeper.alarms.find(({ fault }) => fault === 'cut-out-unreachable')!;
    expect(follows.suppressed).toEqual({ by: 'root', root: 'running-dry' });
    await on.pass(HOUR_S, [findingOf('cut-out-unreachable')]);
    expect(on.told()).toEqual([
      'raised running-dry',
      'over running-dry',
      'raised cut-out-unreachable',
    ]);
  });

  it('what cannot wait is not kept quiet by a root that can', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [findingOf('power-out'), findingOf('switch-no-start')]);
    expect(on.told()).toContain('raised switch-no-start');
  });

  it('a dead sensor keeps quiet what rests on it', async () => {
    const on = await keptAlarms();
    await on.step([WIRE]);
    await on.pass(HOUR_S, [WIRE, DRY]);
    expect(on.told()).toEqual(['raised pressure-wire-open']);
  });

  it('and what stood when it died stands on, unseen, until it is seen to be over', async () => {
    const on = await keptAlarms();
    await on.step([BURST]);
    await on.pass(60, [WIRE]);
    await on.pass(10 * HOUR_S, [WIRE]);
    const burst = () => on.keeper.alarms.find(({ fault }) => fault === 'leak-burst')!;
    expect(burst()).toMatchObject({ state: 'unacknowledged', hiddenBy: 'pressure-wire-open' });
    expect(on.told()).toEqual(['raised leak-burst', 'raised pressure-wire-open']);
    // The sensor is back: only now can it be over, after the delay of either.
    await on.pass(3 * HOUR_S, []);
    expect(burst().state).toBe('returned-unacknowledged');
    expect(on.told().at(-1)).toBe('over leak-burst');
  });
});

describe('what a keeper does', () => {
  it('shelving holds back until it expires; what is urgent half a day at most', async () => {
    const on = await keptAlarms();
    await on.step([LEAK]);
    on.keeper.shelve('alarm-1', 'Upstairs', 8 * HOUR_S);
    await on.pass(8 * HOUR_S - 60, [LEAK]);
    expect(on.told()).toEqual([]);
    await on.pass(120, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running']);
    expect(on.whats()).toContain('unshelved');
    await on.step([LEAK, BURST]);
    expect(() => on.keeper.shelve('alarm-2', 'Upstairs', 13 * HOUR_S)).toThrow(AlarmRefusal);
    on.keeper.shelve('alarm-2', 'Upstairs', 12 * HOUR_S);
    on.keeper.unshelve('alarm-2', 'Upstairs');
    expect(() => on.keeper.unshelve('alarm-2', 'Upstairs')).toThrow(AlarmRefusal);
  });

  it('a shelf outlasts what comes and goes in days, and ends in its time', async () => {
    const on = await keptAlarms();
    await on.pass(HOUR_S, [LEAK]);
    on.keeper.shelve('alarm-1', 'Upstairs', 10 * 86_400);
    await on.pass(5 * 86_400, []);
    await on.pass(86_400, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running']);
    expect(on.keeper.alarms).toMatchObject([{ id: 'alarm-1', shelved: { by: 'Upstairs' } }]);
    await on.pass(5 * 86_400, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running', 'raised fixture-running']);
  });

  it('a declared service keeps quiet what is new, and ends by itself', async () => {
    const on = await keptAlarms();
    on.keeper.declareService('new tank', 'Upstairs');
    await on.pass(4 * HOUR_S - 60, [BURST]);
    expect(on.told()).toEqual([]);
    expect(on.keeper.alarms[0]!.suppressed).toEqual({ by: 'service', root: 'new tank' });
    await on.pass(60, [BURST]);
    expect(on.keeper.service).toBeNull();
    expect(on.told()).toEqual(['raised leak-burst']);
  });

  it('a service that ends early tells what stands, and not what came and went', async () => {
    const on = await keptAlarms();
    on.keeper.declareService('new tank', 'Upstairs', HOUR_S);
    await on.pass(600, [BURST, WATERLOGGED]);
    await on.pass(1200, [WATERLOGGED]);
    on.keeper.endService('Upstairs');
    await on.step([WATERLOGGED]);
    expect(on.told()).toEqual(['raised tank-waterlogged']);
    expect(() => on.keeper.endService('Upstairs')).toThrow(AlarmRefusal);
    expect(() => on.keeper.declareService('x', 'Upstairs', 13 * HOUR_S)).toThrow(AlarmRefusal);
  });

  it('is refused with what was expected and found', async () => {
    const on = await keptAlarms();
    expect(() => on.keeper.acknowledge('alarm-9', 'Upstairs')).toThrow(/expected the id.*alarm-9/);
    await on.step([BURST]);
    on.keeper.acknowledge('alarm-1', 'Upstairs');
    expect(() => on.keeper.acknowledge('alarm-1', 'Upstairs')).toThrow(/found acknowledged/);
  });
});

describe('who is told', () => {
  it('by urgency, by well, and at night only of what cannot wait', async () => {
    const quiet = { fromS: 22 * HOUR_S, toS: 7 * HOUR_S };
    const receivers = [
      receiverOf('phone', { quiet }),
      receiverOf('mail', { from: 'days' }),
      receiverOf('siren', { from: 'now' }),
      receiverOf('other', { wells: ['barn'] }),
    ];
    const startS = NOON_S + 11 * HOUR_S;
    const on = await keptAlarms({ receivers, startS });
    await on.pass(2 * HOUR_S, [WATERLOGGED, findingOf('pump-worn')]);
    expect(on.told('phone')).toEqual([]);
    expect(on.told('mail')).toEqual(['raised tank-waterlogged']);
    await on.step([WATERLOGGED, findingOf('pump-worn'), BURST]);
    expect(on.told('phone')).toEqual(['raised leak-burst']);
    expect(on.told('siren')).toEqual(['raised leak-burst']);
    await on.pass(6 * HOUR_S, [WATERLOGGED, findingOf('pump-worn'), BURST]);
    expect(on.told('phone')).toEqual([
      'raised leak-burst',
      'raised tank-waterlogged',
      'raised pump-worn',
    ]);
    expect(on.told('other')).toEqual([]);
  });

  it('what was over before the quiet hours were is not told any more', async () => {
    const receivers = [receiverOf('phone', { quiet: { fromS: 0, toS: 86_399 } })];
    const on = await keptAlarms({ receivers });
    await on.pass(600, [WATERLOGGED]);
    await on.pass(HOUR_S, []);
    expect(on.told()).toEqual([]);
    const given = on.entries.filter((entry) => entry.what === 'delivery');
    expect(given).toMatchObject([{ outcome: 'withdrawn' }, { outcome: 'withdrawn' }]);
  });

  it('what came and went in quiet hours is told neither to be there nor to be over', async () => {
    const quiet = { fromS: 12 * HOUR_S, toS: 20 * HOUR_S };
    const receivers = [receiverOf('phone', { quiet }), receiverOf('mail')];
    const on = await keptAlarms({ receivers });
    const outage = findingOf('power-out');
    for (let round = 0; round < 2; round++) {
      await on.pass(HOUR_S, [outage]);
      await on.pass(HOUR_S, []);
    }
    expect(on.told('mail')).toEqual(Array(2).fill(['raised power-out', 'over power-out']).flat());
    // Told before the quiet hours of the next day, it is told to be over after them.
    await on.pass(18 * HOUR_S, []);
    expect(on.told()).toEqual([]);
    await on.pass(4 * HOUR_S, [outage]);
    await on.pass(8 * HOUR_S, []);
    expect(on.told()).toEqual(['raised power-out', 'over power-out']);
  });

  it('one that fails is tried again, later and later, and each try is written down', async () => {
    const on = await keptAlarms();
    on.phone().fails = { says: 'nobody there', again: true };
    await on.step([LEAK]);
    await on.pass(2 * HOUR_S, [LEAK]);
    const tries = on.entries.filter((entry) => entry.what === 'delivery');
    expect(tries.length).toBeGreaterThan(4);
    expect(tries.length).toBeLessThan(16);
    expect(tries.every((one) => one.what === 'delivery' && one.outcome === 'failed')).toBe(true);
    on.phone().fails = null;
    await on.pass(HOUR_S, [LEAK]);
    expect(on.told()).toEqual(['raised fixture-running']);
  });

  it('what cannot wait is tried at once, however long a receiver has been away', async () => {
    const on = await keptAlarms();
    on.phone().fails = { says: 'nobody there', again: true };
    await on.pass(3 * HOUR_S, [LEAK]);
    on.phone().fails = null;
    await on.step([LEAK, BURST]);
    expect(on.told()).toEqual(['raised leak-burst', 'raised fixture-running']);
  });

  it('what a later notice says anew is not told any more', async () => {
    const on = await keptAlarms();
    on.phone().fails = { says: 'nobody there', again: true };
    await on.pass(HOUR_S, [LEAK]);
    const history = [{ at: LEAK.since, fault: 'fixture-running', probability: 0.9 }];
    await on.pass(60, [{ ...BURST, history }]);
    on.phone().fails = null;
    await on.pass(HOUR_S, [{ ...BURST, history }]);
    expect(on.told()).toEqual(['worse leak-burst']);
    const given = on.entries.flatMap((one) => (one.what === 'delivery' ? one.outcome : []));
    expect(given).toContain('withdrawn');
  });

  it('a refusal for good is given up, and what nobody took within three days', async () => {
    const on = await keptAlarms();
    on.phone().fails = { says: 'unknown', again: false };
    await on.step([BURST]);
    on.phone().fails = { says: 'nobody there', again: true };
    await on.pass(4 * 86_400, [LEAK]);
    const outcomes = on.entries.flatMap((one) => (one.what === 'delivery' ? one.outcome : []));
    expect(outcomes[0]).toBe('given-up');
    expect(outcomes.at(-1)).toBe('given-up');
    expect(on.told()).toEqual([]);
  });

  it('a test goes to each, whatever the hour', async () => {
    const receivers = [receiverOf('phone'), receiverOf('mail')];
    const on = await keptAlarms({ receivers });
    on.phone('mail').fails = { says: 'nobody there', again: true };
    expect(await on.keeper.test('Upstairs')).toEqual([
      { receiver: 'phone', says: null },
      { receiver: 'mail', says: 'nobody there' },
    ]);
    expect(on.phone().told[0]).toMatchObject({ kind: 'test' });
    expect(on.phone().told[0]!.text).toMatch(/^Nothing is wrong. Upstairs asked for this/);
    await expect(on.keeper.test('Upstairs')).rejects.toThrow(
      'expected 60 s between two tests of phone, found 0 s',
    );
    on.leap(60);
    expect(await on.keeper.test('Upstairs', 'mail')).toHaveLength(1);
    expect(await on.keeper.test('Upstairs', 'phone')).toHaveLength(1);
    await expect(on.keeper.test('Upstairs', 'siren')).rejects.toThrow('found siren');
    expect(on.keeper.receivers.map(({ name }) => name)).toEqual(['phone', 'mail']);
  });
});

describe('silence', () => {
  it('is told per device, once, and is over when the device speaks', async () => {
    const on = await keptAlarms();
    const spoken = async (devices: string[], lengthS: number) => {
      for (let s = 0; s < lengthS; s += 60) {
        for (const device of devices) on.heard(device);
        await on.pass(60);
      }
    };
    await spoken(['tee', 'pump'], HOUR_S);
    await spoken(['tee'], HOUR_S);
    expect(on.phone().told.map(({ subject }) => subject)).toEqual([
      'Within days: no readings come from "pump" any more (Ridge house)',
    ]);
    expect(on.keeper.alarms[0]).toMatchObject({ device: 'pump', fault: 'data-gap' });
    await spoken(['tee', 'pump'], 2 * HOUR_S);
    expect(on.keeper.alarms[0]!.state).toBe('returned-unacknowledged');
    expect(on.told()).toHaveLength(1);
  });

  it('of all leaves what stands as it was last seen', async () => {
    const on = await keptAlarms();
    on.heard();
    await on.step([BURST]);
    await on.pass(HOUR_S, []);
    const burst = on.keeper.alarms.find(({ fault }) => fault === 'leak-burst')!;
    expect(burst.state).toBe('returned-unacknowledged');
    await on.step([DRY]);
    await on.pass(2 * HOUR_S, []);
    const dry = on.keeper.alarms.find(({ fault }) => fault === 'running-dry')!;
    expect(dry).toMatchObject({ state: 'unacknowledged', hiddenBy: 'data-gap' });
  });
});
