import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { hasBrowser, violations } from './opened.ts';
import { timeLapse } from './time-lapse.ts';

const LOG = rehearsedLog({ letter: 'C', days: 0.6, seed: 61, restS: 10 });
const ID = LOG.well.id;

describe.runIf(hasBrowser)('what else a test may ask', () => {
  let at: Awaited<ReturnType<typeof timeLapse>>;
  beforeAll(async () => {
    at = await timeLapse(LOG, [LOG.toml]);
    await at.upTo(LOG.timeS[0]! + 12 * 3600);
  }, 60_000);
  afterAll(() => at.close());

  it('words to choose from, flows at pressures, and the breaker of a test given up', async () => {
    const page = await at.page(`/wells/${ID}/tests`, { viewport: { width: 390, height: 844 } });
    const on = (name: string) => page.getByRole('region', { name: `Under way: ${name}` });
    const made = (name: RegExp) => page.getByRole('article', { name }).waitFor();
    const begin = (name: string) => page.getByRole('button', { name: `Begin the ${name}` }).click();

    await begin('sounding');
    const sounding = on('sounding');
    await sounding.getByLabel('Depth to water').fill('112 ft');
    await sounding.getByLabel('Depth to water').press('Enter');
    await sounding.getByText('noted: 112 ft').waitFor();
    await sounding.getByLabel('Pump').selectOption('resting');
    await sounding.locator('form', { hasText: 'Pump' }).getByRole('button').click();
    await sounding.getByRole('button', { name: 'It is done' }).click();
    await sounding.getByText(/^Depth to water, pump resting: 112\.0.±/).waitFor();
    await sounding.getByRole('button', { name: /^Write it/ }).click();
    await made(/^sounding/);
    const { body } = await at.on.get(`wells/${ID}/file-text`);
    expect(body.text).toMatch(/\[\[sounding\]\]\n.*\nlevel = "112 ft"\npump = "resting"\n$/);

    await begin('throttle test');
    const throttle = on('throttle test');
    const step = throttle.locator('[aria-current=step]');
    await throttle.getByRole('button', { name: 'It is done' }).click();
    await step.getByText(/Open an outdoor hose wide/).waitFor();
    await throttle.getByRole('button', { name: 'Go on without waiting' }).click();
    const flow = throttle.getByLabel('Flow at the steady pressure of now');
    for (const [k, value] of ['8.0 gpm', '7.5 gpm'].entries()) {
      await flow.fill(value);
      await flow.press('Enter');
      const points = new RegExp(`Points so far:(.* gpm at .*psi){${k + 1}}`);
      await throttle.getByText(points).waitFor();
    }
    expect(await violations(page)).toEqual([]);
    await throttle.getByRole('button', { name: 'Give the test up' }).click();
    await made(/^throttle test/);

    await begin('precharge test');
    const precharge = on('precharge test');
    for (const says of ['Turn the water heater off.', 'Turn the pump breaker off.']) {
      await precharge.locator('[aria-current=step]').getByText(says).waitFor();
      await precharge.getByRole('button', { name: 'It is done' }).click();
    }
    await precharge.getByText('Waits until the pressure is gone.').first().waitFor();
    await precharge.getByRole('button', { name: 'Give the test up' }).click();
    await precharge.getByText(/One thing is left: turn the pump breaker on/).waitFor();
    const caution = precharge.locator('[aria-current=step] [data-caution="breaker-back-on"]');
    expect(await caution.isVisible()).toBe(true);
    expect(await violations(page)).toEqual([]);
    await precharge.getByRole('button', { name: 'The breaker is on: end it' }).click();
    await made(/^precharge test/);
    expect(at.faults).toEqual([]);
  }, 60_000);
});
