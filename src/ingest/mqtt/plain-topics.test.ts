import { describe, expect, it } from 'vitest';
import { bytesOf, intakeWith, NOW_S } from '../../../test/support/intake.ts';
import { plainReaders, takesTopic } from './plain-topics.ts';
import { Topics } from './topics.ts';
import { WireGauge } from './wire-gauge.ts';

const topic = (filter: string, channel = 'pressure', unit = 'psi', atmospherePa = 101_325) => ({
  filter,
  wellId: 'barn',
  channel,
  unit,
  atmospherePa,
});

describe('a topic filter', () => {
  // The examples of MQTT 3.1.1 sections 4.7.1.2 and 4.7.1.3.
  it.each([
    ['sport/tennis/player1/#', 'sport/tennis/player1', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
    ['sport/tennis/player1/#', 'sport/tennis/player1/score/final', true],
    ['sport/#', 'sport', true],
    ['sport/tennis/+', 'sport/tennis/player1', true],
    ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
    ['sport/+', 'sport', false],
    ['sport/+', 'sport/', true],
    ['a/+/c', 'a/b/c', true],
    ['a/+/c', 'a/b', false],
    ['a/b', 'A/b', false],
  ])('%s, topic %s: %s', (filter, found, taken) => {
    expect(takesTopic(filter, found)).toBe(taken);
  });
  it('that cannot be, or that is not for numbers, is told with all others', () => {
    const bad = ['', 'a/#/b', 'a+/b', '#', '+/x', '$SYS/a', 'wells/barn/readings'];
    let said = '';
    try {
      plainReaders([...bad.map((one) => topic(one)), topic('ok', 'pressure', 'gal')]);
    } catch (error) {
      said = (error as Error).message;
    }
    expect(said.split('\n')).toHaveLength(8);
    expect(said).toMatch(/topic 'ok': expected a unit of pressure/);
  });
});

describe('a plain number', () => {
  const [psi, amps, high] = plainReaders([
    topic('t', 'pressure', 'psia'),
    topic('t', 'current', 'mA'),
    // U.S. Standard Atmosphere 1976, 2000 m: 79 501 Pa.
    topic('t', 'pressure', 'psia', 79_501),
  ]);
  it('becomes SI by its unit, absolute pressure gauge', () => {
    // 1 psi = 6894.757 Pa (NIST SP 811, appendix B).
    expect(psi!.read(bytesOf('58.45'))).toMatchObject({
      channel: 0,
      value: expect.closeTo(58.45 * 6894.757 - 101_325, 0),
    });
    expect(high!.read(bytesOf('58.45'))).toMatchObject({
      value: expect.closeTo(58.45 * 6894.757 - 79_501, 0),
    });
    expect(amps!.read(bytesOf(' 7900\n'))).toEqual({ channel: 1, value: 7.9 });
  });
  it.each(['', 'on', '5 psi', '1,20', 'NaN', '1e999', '{"v":1}', '1'.repeat(65)])(
    '%s is none',
    (text) => expect(psi!.read(bytesOf(text))).toEqual({ wrong: 'unreadable-value' }),
  );
});

describe('topics', () => {
  it('give packs of the time of arrival, with counters for each mapping', async () => {
    const { reader, counters, inbox } = await intakeWith();
    const topics = new Topics(reader, [topic('shed/+/psi'), topic('shed/x/psi', 'level', 'ft')]);
    expect(topics.filters()).toEqual(['wells/+/readings', 'shed/+/psi', 'shed/x/psi']);
    const [pack, ...none] = topics.packs('shed/tee/psi', bytesOf('40'))!;
    expect(none).toEqual([]);
    expect(pack).toMatchObject({ wellId: 'barn', device: 'shed/tee/psi', arrivedS: NOW_S });
    expect([...pack!.readings.timeS]).toEqual([NOW_S]);
    expect(topics.packs('shed/x/psi', bytesOf('40'))).toHaveLength(2);
    const [bad] = topics.packs('shed/tee/psi', bytesOf('off'))!;
    expect(bad!.refused).toEqual([{ index: 0, code: 'unreadable-value' }]);
    expect(topics.packs('elsewhere', bytesOf('40'))).toBe(null);
    expect(counters.all()).toEqual({
      'plain-refused': 1,
      'plain-values': 3,
      'plain:shed/+/psi': 3,
      'plain:shed/x/psi': 1,
      refused: 1,
      'refused:unreadable-value': 1,
      'topic-not-ours': 1,
    });
    await inbox.close();
  });
  it('are only so many', async () => {
    const { reader, inbox } = await intakeWith({ plainTopics: 1 });
    expect(() => new Topics(reader, [topic('a'), topic('b')])).toThrow(/at most 1 plain topics/);
    await inbox.close();
  });
});

describe('the gauge on the wire', () => {
  it('counts packets and sees lengths across any cut (MQTT 3.1.1 table 2.4)', () => {
    // Lengths at the ends of what one, two and three bytes can say.
    const lengths = [0, 127, 128, 16_383, 16_384, 2_097_151, 2_097_152];
    const heads = ['00', '7f', '8001', 'ff7f', '808001', 'ffff7f', '80808001'];
    lengths.forEach((length, i) => {
      const head = Buffer.from(`30${heads[i]}`, 'hex');
      for (const cut of [1, 2, head.length, 1000]) {
        const gauge = new WireGauge(length);
        const bytes = Buffer.concat([head, Buffer.alloc(length), head]);
        let fits = true;
        for (let at = 0; at < bytes.length; ) {
          const size = at < 2 * head.length ? cut : bytes.length;
          fits &&= gauge.see(bytes.subarray(at, at + size));
          at += size;
        }
        expect([fits, gauge.packets]).toEqual([true, 2]);
        expect(length === 0 || !new WireGauge(length - 1).see(head)).toBe(true);
      }
    });
  });
});
