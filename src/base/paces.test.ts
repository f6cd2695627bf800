import { expect, it } from 'vitest';
import { networkOf } from './network-of.ts';
import { Paces } from './paces.ts';

it('lets a burst through, and then as much as comes in time', () => {
  const paces = new Paces({ perS: 10, burst: 100 });
  expect(paces.waitS('a', 0)).toBe(0);
  paces.spend('a', 100, 0);
  expect(paces.waitS('a', 0)).toBe(0);
  paces.spend('a', 50, 0);
  expect(paces.waitS('a', 0)).toBe(5);
  expect(paces.waitS('a', 4)).toBe(1);
  expect(paces.waitS('a', 5)).toBe(0);
  // Nobody saves up more than a burst, and nobody pays for another.
  paces.spend('a', 100, 1e6);
  expect(paces.waitS('a', 1e6)).toBe(0);
  paces.spend('a', 1, 1e6);
  expect(paces.waitS('a', 1e6)).toBeCloseTo(0.1);
  expect(paces.waitS('b', 1e6)).toBe(0);
});

it('remembers so many senders and no more: those that were quiet are forgotten', () => {
  const paces = new Paces({ perS: 1, burst: 1 });
  paces.spend('first', 10, 0);
  paces.spend('busy', 10, 0);
  for (let i = 0; i < 4095; i++) {
    paces.spend(`other-${i}`, 1, 0);
    if (i % 1000 === 0) paces.spend('busy', 1, 0);
  }
  expect(paces.waitS('first', 0)).toBe(0);
  expect(paces.waitS('busy', 0)).toBeGreaterThan(9);
});

it('a house is one sender: an address of IPv4, a network of 64 bits of IPv6', () => {
  for (const [address, network] of [
    ['192.0.2.7', '192.0.2.7'],
    ['::ffff:192.0.2.7', '192.0.2.7'],
    ['2001:db8:1:2:3:4:5:6', '2001:db8:1:2::/64'],
    ['2001:DB8:1:2::9', '2001:db8:1:2::/64'],
    ['fe80::1%eth0', 'fe80:0:0:0::/64'],
    ['::1', '0:0:0:0::/64'],
    ['', ''],
  ] as const)
    expect(networkOf(address), address).toBe(network);
});
