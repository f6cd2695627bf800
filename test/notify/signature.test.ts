import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { isGenuine, sign } from '../../src/notify/signature.ts';
import { WebhookNotifier } from '../../src/notify/webhook.ts';
import { noticeOf } from '../contract/notifier.contract.ts';
import { httpReceiver } from '../support/http-receiver.ts';
import { has } from '../support/mosquitto.ts';
import { textOf } from '../support/source-scan.ts';

const SECRET = 'a secret of the keeper';
const NOW_S = 1_780_000_000.75;

it.runIf(has('openssl'))(
  'is HMAC-SHA-256 of time, point and body, as another implementation makes it',
  () => {
    const body = '{"subject":"Söderby"}';
    const { time, signature } = sign(SECRET, body, NOW_S);
    expect(time).toBe('1780000000');
    const said = execFileSync('openssl', ['dgst', '-sha256', '-hmac', SECRET], {
      input: `${time}.${body}`,
    }).toString();
    expect(said.trim().split(' ').at(-1)).toBe(signature);
  },
);

it('goes with each posting, of the moment it is sent', async () => {
  const receiver = await httpReceiver();
  let nowS = NOW_S;
  const clock = { nowS: () => nowS };
  const address = `${receiver.url}/hook`;
  const notifier = new WebhookNotifier({ address, secret: SECRET, clock });
  try {
    await notifier.tell(noticeOf());
    nowS += 1000;
    await notifier.tell(noticeOf());
    const signed = receiver.received.map(({ headers, body }) => ({
      body: body.toString(),
      of: {
        time: String(headers['wellwright-time']),
        signature: String(headers['wellwright-signature']),
      },
    }));
    const [first, second] = signed;
    expect(isGenuine(SECRET, first!.body, first!.of, NOW_S + 1)).toBe(true);
    expect(isGenuine(SECRET, second!.body, second!.of, nowS)).toBe(true);
    // What was heard once is of no use a while later, nor with the time of another.
    expect(isGenuine(SECRET, first!.body, first!.of, nowS)).toBe(false);
    expect(isGenuine(SECRET, first!.body, { ...first!.of, time: second!.of.time }, nowS)).toBe(
      false,
    );
    expect(receiver.received[0]!.headers['wellwright-notice']).toBe(noticeOf().id);
  } finally {
    await receiver.close();
  }
});

it('does not hold for another body, secret, time or form', () => {
  const signed = sign(SECRET, 'body', NOW_S);
  expect(isGenuine(SECRET, 'body', signed, NOW_S)).toBe(true);
  expect(isGenuine(SECRET, 'bodY', signed, NOW_S)).toBe(false);
  expect(isGenuine(`${SECRET}s`, 'body', signed, NOW_S)).toBe(false);
  for (const lateS of [-301, 302])
    expect(isGenuine(SECRET, 'body', signed, NOW_S + lateS)).toBe(false);
  for (const signature of ['', 'ab', `${signed.signature}00`, signed.signature.toUpperCase()])
    expect(isGenuine(SECRET, 'body', { ...signed, signature }, NOW_S)).toBe(false);
  expect(isGenuine(SECRET, 'body', { ...signed, time: 'NaN' }, NOW_S)).toBe(false);
});

it.runIf(has('python3'))('is checked by the receiver of docs/alarms.md, replays and all', () => {
  const [, receiver = ''] = /```python\n([\s\S]*?)```/.exec(textOf('docs/alarms.md')) ?? [];
  const body = '{"subject":"Söderby"}';
  const ask = (notice: string, signed: object, lateS: number, text = body) => ({
    ...{ headers: { 'wellwright-notice': notice, ...signed }, body: text, now: NOW_S + lateS },
  });
  const { time, signature } = sign(SECRET, body, NOW_S);
  const signed = { 'wellwright-time': time, 'wellwright-signature': signature };
  const asked = [
    ask('notice-1', signed, 1),
    ask('notice-1', signed, 2),
    ask('notice-2', signed, 400),
    ask('notice-3', signed, 2, '{}'),
    ask('notice-4', { ...signed, 'wellwright-time': `${Number(time) + 60}` }, 2),
    ask('notice-5', { ...signed, 'wellwright-signature': 'é' }, 2),
  ];
  const script = `import json, sys
${receiver}
for one in json.load(sys.stdin):
    secret = ${JSON.stringify(SECRET)}.encode()
    print(judged(secret, one["headers"], one["body"].encode(), one["now"]))`;
  const said = execFileSync('python3', ['-c', script], { input: JSON.stringify(asked) });
  expect(said.toString().trim().split('\n')).toEqual([
    ...['new', 'again', 'stale', 'forged', 'forged', 'forged'],
  ]);
});
