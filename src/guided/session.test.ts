import { describe, expect, it } from 'vitest';
import { beforeTests, house } from '../../test/guided/house.ts';
import { rehearsedLog } from '../../test/support/rehearsed-log.ts';
import { until } from '../../test/watch/until.ts';
import { ACT_CAUTIONS } from '../model/cautions.ts';
import { OWNER_TESTS } from '../model/owner-tests.ts';
import { GUIDED, GUIDES } from './guides.ts';
import { GuideRefusal, type Session } from './session.ts';

const LOG = rehearsedLog({ letter: 'C', days: 1.8, seed: 61, restS: 5, bucketDays: [1] });
const ID = LOG.well.id;
const TEST = LOG.well.bucketTests[0]!;

/** A bucket test whose breaker has just been turned off. */
async function breakerOff() {
  const its = house(LOG, beforeTests(LOG.toml));
  await its.upTo(TEST.startS - 20);
  await its.guided.begin(ID, 'bucket');
  await its.guided.confirm(ID, -1);
  while ((await its.guided.on(ID))!.step < 2)
    await its.guided.confirm(ID, (await its.guided.on(ID))!.step);
  return its;
}

describe('every guide', () => {
  it('follows steps that its test has, in their order', () => {
    for (const test of GUIDED) {
      const steps = GUIDES[test].map(({ of }) => of);
      expect(steps, test).toEqual(steps.toSorted((a, b) => a - b));
      for (const of of steps) expect(OWNER_TESTS[test].steps[of], test).toBeDefined();
    }
  });

  it('shows every step that carries a caution, so that none is lost', () => {
    for (const test of GUIDED)
      for (const [i, { cautions }] of OWNER_TESTS[test].steps.entries())
        if (cautions.length > 0)
          expect(
            GUIDES[test].some(({ of }) => of === i),
            `${test}, step ${i}`,
          ).toBe(true);
  });

  it('wants the breaker seen on again wherever a caution says so', () => {
    const wanted = GUIDED.filter((test) =>
      (ACT_CAUTIONS[test] as readonly string[]).includes('breaker-back-on'),
    );
    expect(wanted).toEqual(['bucket', 'precharge', 'drain']);
    for (const test of GUIDED) {
      const kinds = GUIDES[test].map(({ watch }) => watch.kind);
      const off = GUIDES[test].findIndex(({ breakerOff: isOff }) => isOff);
      expect(kinds.indexOf('full-again') > off && off >= 0, test).toBe(wanted.includes(test));
    }
  });
});

describe('a test that is on', () => {
  it('is the only one of its well', async () => {
    const its = await breakerOff();
    await expect(its.guided.begin(ID, 'drain')).rejects.toThrow(
      'expected one test at a time, found a bucket test under way',
    );
    await expect(its.guided.type(ID, 'volume', '5.87')).rejects.toThrow(GuideRefusal);
    await expect(its.guided.type(ID, 'flow', '2 gpm')).rejects.toThrow("found 'flow'");
    await expect(its.guided.keep(ID, 'K')).rejects.toThrow('found it on');
  });

  it('goes on where it was in a service that is started anew', async () => {
    const its = await breakerOff();
    const before = await its.guided.on(ID);
    its.restart();
    expect(await its.guided.on(ID)).toMatchObject({ id: before!.id, step: 2, state: 'on' });
    await its.live(TEST.startS + 60);
    expect((await its.guided.on(ID))!.step).toBe(3);
  });

  it('knows how fast readings come after the well file was edited, too', async () => {
    const its = await breakerOff();
    await its.live(TEST.startS + 60);
    const rate = its.wells.get(ID)!.pressureRate();
    expect(rate.getsS).toBeGreaterThan(0);
    its.wells.put(its.wells.get(ID)!.well);
    expect(its.wells.get(ID)!.pressureRate()).toEqual({ ...rate, onChange: false });
    expect(its.wells.get(ID)!.now().test).toMatchObject({ what: 'bucket' });
  });

  it('counts a step once that is said to be done twice', async () => {
    const its = await breakerOff();
    await its.guided.confirm(ID, 1);
    expect((await its.guided.on(ID))!.step).toBe(2);
  });

  it('is kept with the readings of the test, however late it is written down', async () => {
    const its = await breakerOff();
    await its.live(TEST.startS + 60);
    await its.guided.type(ID, 'volume', '5.87 gal');
    await its.live(TEST.stopS + 900);
    await until(async () => (await its.guided.on(ID))?.state === 'judged');
    await its.upTo(TEST.stopS + 6 * 3600);
    await its.guided.keep(ID, 'K');
    const [{ trace, marks }] = (await its.guided.done(ID)) as [Session];
    const [from, to] = [trace!.pressure[0]!.timeS, trace!.pressure.at(-1)!.timeS];
    expect(from).toBeLessThan(marks.start!);
    expect(to).toBeGreaterThan(marks.stop!);
    expect(to).toBeLessThan(TEST.stopS + 1000);
  });

  it('given up with the breaker off, ends once the pump is seen to fill the tank', async () => {
    const its = await breakerOff();
    await its.live(TEST.startS + 60);
    await its.guided.giveUp(ID);
    expect(await its.guided.on(ID)).toMatchObject({ isLeaving: true, step: 4, state: 'on' });
    // Nobody is told meanwhile that the pump does not start.
    expect(its.works).toMatchObject({
      declared: ['bucket test'],
      service: { by: 'a test made step by step' },
    });
    await its.live(TEST.stopS + 300);
    expect(await its.guided.on(ID)).toMatchObject({ isLeaving: true });
    await its.live(TEST.stopS + 1200);
    expect(await its.guided.on(ID)).toBeNull();
    expect(its.works.service).toBeNull();
    expect(await its.guided.done(ID)).toMatchObject([{ state: 'given-up', result: null }]);
    await its.guided.begin(ID, 'drain');
    await its.guided.giveUp(ID);
    expect(await its.guided.on(ID)).toBeNull();
    expect(await its.guided.done(ID)).toHaveLength(2);
  });
});
