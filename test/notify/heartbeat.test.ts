import { afterEach, expect, it } from 'vitest';
import { Heartbeat } from '../../src/notify/heartbeat.ts';
import { isGenuine } from '../../src/notify/signature.ts';
import { httpReceiver } from '../support/http-receiver.ts';

const SECRET = 'a secret of the keeper';
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

it('beats when it is due, signed, and says once when it is not heard, and when it is', async () => {
  const receiver = await httpReceiver();
  open.push(receiver);
  let nowS = 1_780_000_000;
  const said: (string | null)[] = [];
  const beat = () => ({
    at: new Date(nowS * 1000).toISOString(),
    well: true,
    wells: [{ well: 'barn', lastReading: null, standing: 2 }],
  });
  const heartbeat = new Heartbeat({
    ...{ address: `${receiver.url}/alive?key=hidden`, everyS: 300, secret: SECRET, beat },
    clock: { nowS: () => nowS },
    trouble: (says) => said.push(says),
  });
  const pass = async (lengthS: number) => {
    for (const endS = nowS + lengthS; nowS < endS; nowS += 10) {
      heartbeat.advance();
      await heartbeat.settled();
    }
  };
  await pass(900);
  expect(receiver.received).toHaveLength(3);
  for (const [i, { headers, body }] of receiver.received.entries()) {
    const signed = {
      time: String(headers['wellwright-time']),
      signature: String(headers['wellwright-signature']),
    };
    const sentS = 1_780_000_000 + 300 * i;
    expect(isGenuine(SECRET, body.toString(), signed, sentS)).toBe(true);
    expect(JSON.parse(body.toString())).toMatchObject({ well: true, wells: [{ standing: 2 }] });
  }
  receiver.answer(503);
  await pass(900);
  receiver.answer(200);
  await pass(600);
  expect(said).toHaveLength(2);
  expect(said[0]).toMatch(/expected 200 to 299, found 503$/);
  expect(said[0]).not.toContain('hidden');
  expect(said[1]).toBeNull();
  // A clock that is set back does not silence it.
  nowS -= 86_400;
  const before = receiver.received.length;
  await pass(10);
  expect(receiver.received).toHaveLength(before + 1);
});
