import { appendFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { until } from '../watch/until.ts';
import { beforeTests, house } from './house.ts';

const LOG = rehearsedLog({ letter: 'C', days: 3, seed: 61, restS: 5, bucketDays: [1] });
const ID = LOG.well.id;
const TEST = LOG.well.bucketTests[0]!;

describe('a bucket test made step by step', () => {
  it('follows the readings from the rest to the breaker, and gives what a study gives', async () => {
    expect(beforeTests(LOG.toml)).not.toContain('bucket_test');
    const its = house(LOG);
    await its.upTo(TEST.startS - 30);
    await its.guided.begin(ID, 'bucket');
    for (let t = TEST.startS - 20; t < TEST.stopS + 1800; t += 10) {
      await its.upTo(t);
      const on = await its.guided.on(ID);
      if (on?.steps[on.step]?.byHand) await its.guided.confirm(ID, on.step);
      if (on?.missing.length) await its.guided.type(ID, 'volume', '5.87 gal');
      appendFileSync('/tmp/h-work.log', `${t - TEST.startS} ${on?.state} ${on?.step} ${JSON.stringify(on?.seen)} ${on?.pressurePaGauge} ${JSON.stringify(on?.result)}\n`);
    }
  });
});
