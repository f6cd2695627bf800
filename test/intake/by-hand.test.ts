import { describe, expect, it } from 'vitest';
import { HttpReadings } from '../../src/ingest/http/http-readings.ts';
import { httpFront } from '../support/http-front.ts';
import { has, run } from '../support/mosquitto.ts';
import { openOwnBroker } from '../support/own-broker.ts';
import { textOf } from '../support/source-scan.ts';

const page = textOf('docs/formats/live-readings.md');
const lines = /```\n(curl .*)\n(mosquitto_pub .*)\n```/.exec(page);

describe('docs/formats/live-readings.md', () => {
  it('has a line to send a reading by hand for each way in', () => {
    expect(lines).not.toBe(null);
  });

  if (has('curl') && has('mosquitto_pub')) {
    it('and both work as they stand', async () => {
      const { broker, inbox, reader, store, clock, close } = await openOwnBroker();
      const readings = new HttpReadings(reader);
      await readings.open(inbox);
      const front = await httpFront(readings);
      const [, curl = '', publish = ''] = lines ?? [];
      const posted = await run('sh', [
        '-c',
        `${curl.replace('localhost:8080', `127.0.0.1:${front.port}`)} --no-progress-meter`,
      ]);
      expect(posted).toEqual({ code: 0, out: '{"accepted":1,"duplicate":0,"refused":[]}' });
      clock.s += 1;
      const later = publish.replace('mosquitto_pub', `mosquitto_pub -p ${broker.port}`);
      expect(await run('sh', ['-c', later.replace('379000', '379001')])).toEqual({
        code: 0,
        out: '',
      });
      expect(store.all().map(({ value }) => value)).toEqual([379_000, 379_001]);
      await front.close();
      await close();
    });
  }

  it('shows a pack that is taken whole', async () => {
    const { reader, close, clock } = await openOwnBroker();
    const [, example = ''] = /```json\n([\s\S]*?)```/.exec(page) ?? [];
    clock.s = 1_775_433_600;
    const packs = reader.read('ridge-house', new TextEncoder().encode(example));
    expect(packs).toMatchObject([
      { device: 'urn:dev:mac:0024befffe804ff1', boot: 12, seq: 4711, refused: [] },
    ]);
    expect(typeof packs !== 'string' && packs[0]!.readings.count).toBe(3);
    await close();
  });
});
