import { describe, expect, it } from 'vitest';
import { Attempts } from './attempts.ts';
import { ACCESS_LIMITS } from './limits.ts';

const { triesAnAddress, tryAgainS, triesInAll, tryAgainInAllS } = ACCESS_LIMITS;

function attempts() {
  const clock = { nowS: 1000 };
  const all = new Attempts(() => clock.nowS);
  const tries = (address: string, most = 100) => {
    let count = 0;
    while (count < most && all.take(address)) count += 1;
    return count;
  };
  return { clock, all, tries };
}

describe('tries', () => {
  it('of an address are few at once, then one more each so many seconds, never more', () => {
    const { clock, tries } = attempts();
    expect(tries('192.168.1.7')).toBe(triesAnAddress);
    expect(tries('192.168.1.8')).toBe(triesAnAddress);
    clock.nowS += tryAgainS - 0.01;
    expect(tries('192.168.1.7')).toBe(0);
    clock.nowS += 0.01;
    expect(tries('192.168.1.7')).toBe(1);
    clock.nowS += 1e6;
    expect(tries('192.168.1.7')).toBe(triesAnAddress);
  });

  it('of all together are bounded, too', () => {
    const { clock, tries } = attempts();
    let count = 0;
    for (let i = 0; i < 50; i++) count += tries(`10.0.0.${i}`);
    expect(count).toBe(triesInAll);
    clock.nowS += tryAgainInAllS;
    expect(tries('10.0.1.1')).toBe(1);
  });

  it('that were right cost nothing', () => {
    const { all } = attempts();
    for (let i = 0; i < 2 * triesInAll; i++) {
      expect(all.take('10.0.0.1')).toBe(true);
      all.succeeded('10.0.0.1');
    }
  });

  it('that were right give nothing back of those that were wrong', () => {
    const { all, tries } = attempts();
    tries('10.0.0.1', triesAnAddress - 1);
    expect(all.take('10.0.0.1')).toBe(true);
    all.succeeded('10.0.0.1');
    expect(tries('10.0.0.1')).toBe(1);
  });

  it('of one network of IPv6 are those of one address, and an IPv4 one is itself', () => {
    const { tries } = attempts();
    expect(tries('fd00:1:2:3::1')).toBe(triesAnAddress);
    expect(tries('fd00:1:2:3:ffff:1:2:3')).toBe(0);
    expect(tries('fd00:1:2:4::1')).toBe(triesAnAddress);
    expect(tries('fe80::1%eth0')).toBe(triesAnAddress);
    expect(tries('fe80::2')).toBe(0);
    expect(tries('::ffff:10.0.0.1')).toBe(triesAnAddress);
    expect(tries('10.0.0.1')).toBe(0);
  });
});
