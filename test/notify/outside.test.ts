import { once } from 'node:events';
import { createServer } from 'node:http';
import { afterEach, describe, expect, it } from 'vitest';
import { isOfTheHouse } from '../../src/notify/house.ts';
import { post } from '../../src/notify/send-http.ts';
import { NotTold } from '../../src/ports/notifier.ts';
import { httpReceiver } from '../support/http-receiver.ts';

const closers: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0)) await close();
});

const receiving = async () => {
  const receiver = await httpReceiver();
  closers.push(receiver.close);
  return receiver;
};

const refusalOf = (address: string): Promise<NotTold> =>
  post({ address, headers: {}, body: 'x', outside: true, withinMs: 2000 }).then(
    () => {
      throw new Error(`expected ${address} to be refused`);
    },
    (error: NotTold) => error,
  );

describe('a target that somebody else chose', () => {
  it('is of the house or of the world by the registries of addresses', () => {
    // RFC 6890, RFC 1918, RFC 6598, RFC 3927, RFC 4193, RFC 4291, RFC 5771.
    const house = [
      ...['127.0.0.1', '127.255.255.254', '0.0.0.0', '10.1.2.3', '172.16.0.1', '172.31.255.255'],
      ...['192.168.1.1', '169.254.169.254', '100.64.0.1', '224.0.0.251', '255.255.255.255'],
      ...['::', '::1', 'fe80::1', 'fd12:3456::1', 'fc00::1', 'ff02::1', '::ffff:127.0.0.1'],
      ...['::ffff:192.168.0.1', '64:ff9b::7f00:1', '2002:7f00:1::', '2001:0:1::1'],
    ];
    for (const address of house) expect(isOfTheHouse(address), address).toBe(true);
    const world = ['8.0.0.1', '172.32.0.1', '172.15.255.255', '100.128.0.1', '192.169.0.1'];
    for (const address of [...world, '2600::1', '2a00:1450::1', '::ffff:8.0.0.1'])
      expect(isOfTheHouse(address), address).toBe(false);
  });

  it('does not lead into the house, however it is written', async () => {
    const { port, received } = await receiving();
    const hosts = ['127.0.0.1', '0x7f000001', '2130706433', '127.1', '[::1]', '[::ffff:7f00:1]'];
    for (const host of [...hosts, 'localhost', '0', '169.254.169.254', '192.168.0.1']) {
      const refusal = await refusalOf(`http://${host}:${port}/latest/meta-data?secret=1`);
      expect(refusal, host).toBeInstanceOf(NotTold);
      expect(refusal.message, host).toMatch(/expected a server outside the house/);
      expect(refusal.message).not.toContain('secret');
      expect(refusal.again).toBe(false);
    }
    expect(received).toEqual([]);
  });

  it('is the address that was judged: a name is looked up by its connection', async () => {
    const { port, received } = await receiving();
    // Of a name that leads home the connection is not made: nothing comes between.
    expect((await refusalOf(`http://localhost:${port}/`)).message).toMatch(/leads to/);
    expect(received).toEqual([]);
    // The keeper's own choice, as an alarm file has it, may stand in the house.
    await post({ address: `http://localhost:${port}/`, headers: {}, body: 'x' });
    expect(received).toHaveLength(1);
  });

  it('leads nowhere else: where an answer points on, nobody goes', async () => {
    const { port, received } = await receiving();
    for (const status of [301, 302, 303, 307, 308]) {
      const server = createServer((_request, response) =>
        response.writeHead(status, { location: `http://127.0.0.1:${port}/` }).end(),
      ).listen(0, '127.0.0.1');
      await once(server, 'listening');
      const { port: first } = server.address() as { port: number };
      const told = post({ address: `http://127.0.0.1:${first}/`, headers: {}, body: 'x' });
      await expect(told).rejects.toThrow(`expected 200 to 299, found ${status}`);
      await new Promise((resolve) => server.close(resolve));
    }
    expect(received).toEqual([]);
  });
});
