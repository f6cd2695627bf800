import fc from 'fast-check';
import { beforeEach, describe, expect, it } from 'vitest';
import { bytesOf, type Intake, intakeWith, NOW_S, senml } from '../../test/support/intake.ts';
import { isDeeper } from '../base/json-depth.ts';
import type { Arrived } from '../ports/reading-source.ts';

let intake: Intake;
beforeEach(async () => {
  intake = await intakeWith({ recordsAPack: 5, devicesAWell: 2, packBytes: 2000 });
});

const read = (json: unknown) =>
  intake.reader.read('ridge-house', bytesOf(JSON.stringify(json))) as Arrived[];

describe('a pack', () => {
  it('is of the device that its base name names before the last slash', () => {
    const [pack] = read(JSON.parse(senml(3e5, { boot: 2, seq: 9 })));
    expect(pack).toMatchObject({
      wellId: 'ridge-house',
      device: 'urn:dev:mac:0024befffe804ff1',
      boot: 2,
      seq: 9,
      arrivedS: NOW_S,
      refused: [],
      uptimeS: null,
    });
    expect([...pack!.readings.timeS]).toEqual([NOW_S]);
    const deviceOf = (bn: string, n: string) => read([{ bn, n, u: 'Pa', v: 1 }])[0]!.device;
    expect(deviceOf('a/b/', 'pressure')).toBe('a/b');
    expect(deviceOf('a/b/', 'tee/pressure')).toBe('a/b');
    expect(deviceOf('c', '/pressure')).toBe('c');
    expect(read([{ n: 'x/pressure', u: 'Pa', v: 1 }])[0]!.refused).toEqual([
      { index: -1, code: 'too-many-devices' },
    ]);
  });
  it('is one for each device in it, with refusals where they belong', () => {
    const packs = read([
      { bn: 'a/', n: 'seq', v: 4 },
      { n: 'pressure', u: 'Pa', v: 1 },
      { bn: 'b/', n: 'current', u: 'A', v: 2 },
      { n: 'current', u: 'Pa', v: 2 },
    ]);
    expect(packs.map(({ device, seq, readings }) => [device, seq, readings.count])).toEqual([
      ['a', 4, 1],
      ['b', null, 1],
    ]);
    expect(packs[1]!.refused).toEqual([{ index: 3, code: 'wrong-unit' }]);
  });
  it('counts relative times from the moment of arrival (RFC 8428 section 4.5.3)', () => {
    const [pack] = read([{ n: 'pressure', u: 'Pa', v: 1, t: -30 }]);
    expect([...pack!.readings.timeS]).toEqual([NOW_S - 30]);
  });
  it('has times that are far ahead, far back or of no clock refused, each with its record', () => {
    const at = (t: number) => ({ n: 'pressure', u: 'Pa', v: 1, t });
    const [pack] = read([
      at(NOW_S + 899),
      at(NOW_S + 901),
      at(NOW_S - 401 * 86_400),
      at(5e8),
      at(NOW_S - 399 * 86_400),
    ]);
    expect(pack!.readings.count).toBe(2);
    expect(pack!.refused).toEqual([
      { index: 1, code: 'clock-ahead' },
      { index: 2, code: 'too-old' },
      { index: 3, code: 'clock-unset' },
    ]);
    expect(intake.counters.of('refused')).toBe(3);
    expect(intake.counters.of('refused:clock-ahead')).toBe(1);
  });
  it('has records beyond the bound refused with one word, and names that are too long', () => {
    const [pack] = read([
      { n: `${'x'.repeat(128)}/pressure`, u: 'Pa', v: 1 },
      ...Array.from({ length: 6 }, () => ({ n: 'pressure', u: 'Pa', v: 1 })),
    ]);
    expect(pack!.readings.count).toBe(4);
    expect(pack!.refused.map(({ index, code }) => `${index} ${code}`)).toEqual([
      '0 name-too-long',
      '5 too-many-records',
    ]);
  });
  it('without a boot has its uptime refused, and its times count from arrival', () => {
    const [pack] = read([
      { n: 'uptime', u: 's', v: 5 },
      { n: 'pressure', u: 'Pa', v: 1 },
    ]);
    expect(pack).toMatchObject({ uptimeS: null, bootBeganS: null });
    expect(pack!.refused).toEqual([{ index: -1, code: 'uptime-without-boot' }]);
    expect([...pack!.readings.timeS]).toEqual([NOW_S]);
  });
  it('with an uptime keeps its readings on that counter, or says when the boot began', () => {
    const words = [
      { n: 'boot', v: 1 },
      { n: 'uptime', u: 'ms', v: 5000 },
      { n: 'pressure', u: 'Pa', v: 1, t: -2 },
    ];
    expect(read(words)[0]).toMatchObject({ uptimeS: 5, bootBeganS: null });
    expect([...read(words)[0]!.readings.timeS]).toEqual([3]);
    const [anchored] = read([{ bt: NOW_S, n: 'boot', v: 1 }, ...words.slice(1)]);
    expect(anchored).toMatchObject({ uptimeS: null, bootBeganS: NOW_S - 5 });
    expect([...anchored!.readings.timeS]).toEqual([NOW_S - 2]);
    const [mixed] = read([...words, { n: 'current', u: 'A', v: 1, t: NOW_S }]);
    expect(mixed).toMatchObject({ uptimeS: null, bootBeganS: NOW_S - 5 });
    expect([...mixed!.readings.timeS]).toEqual([NOW_S - 2, NOW_S]);
  });
});

describe('a device whose clock is wrong', () => {
  const from = (bt: number) => [
    { bt, n: 'boot', v: 1 },
    { n: 'uptime', u: 's', v: 50 },
    { n: 'pressure', u: 'Pa', v: 1, t: -2 },
    { n: 'current', u: 'A', v: 1 },
  ];
  it.each([946_684_800 + 50, NOW_S + 86_400, NOW_S - 500 * 86_400])(
    'and shows %d is one without a clock, where it counts since its boot',
    (bt) => {
      const [pack] = read(from(bt));
      expect(pack).toMatchObject({ uptimeS: 50, bootBeganS: null, refused: [] });
      expect([...pack!.readings.timeS]).toEqual([48, 50]);
    },
  );
  it('gives no anchor by a reading that is refused', () => {
    const [pack] = read([
      { n: 'boot', v: 1 },
      { n: 'uptime', u: 's', v: 50 },
      { n: 'pressure', u: 'Pa', v: 1, t: NOW_S + 86_400 },
      { n: 'current', u: 'A', v: 1 },
    ]);
    expect(pack).toMatchObject({ uptimeS: 50, bootBeganS: null });
    expect(pack!.refused).toEqual([{ index: 2, code: 'clock-ahead' }]);
    expect([...pack!.readings.timeS]).toEqual([50]);
    const [fit] = read([
      { n: 'boot', v: 1 },
      { n: 'uptime', u: 's', v: 50 },
      { n: 'pressure', u: 'Pa', v: 1, t: NOW_S + 86_400 },
      { n: 'current', u: 'A', v: 1, t: NOW_S - 3 },
    ]);
    expect(fit).toMatchObject({ uptimeS: null, bootBeganS: NOW_S - 53 });
  });
});

describe('a body', () => {
  it.each([
    ['', 'unreadable'],
    ['[{"n":', 'unreadable'],
    ['"pressure"', 'unreadable'],
    ['null', 'unreadable'],
    ['[[[[[[[[[]]]]]]]]]', 'too-deep'],
    [`[${' '.repeat(2000)}]`, 'too-large'],
  ] as const)('%s is refused as a whole', (text, why) => {
    expect(intake.reader.read('barn', bytesOf(text))).toBe(why);
    expect(intake.counters.of(`refused:${why}`)).toBe(1);
    expect(intake.reader.unread('barn', why).refused).toEqual([{ index: -1, code: why }]);
  });
  it('that is no UTF-8 cannot be read', () => {
    expect(intake.reader.read('barn', Uint8Array.of(0x5b, 0x22, 0xff, 0x22, 0x5d))).toBe(
      'unreadable',
    );
  });
  it('of any JSON gives packs: every record is a reading, a word or a refusal', () => {
    const value = fc.oneof(fc.double(), fc.string(), fc.boolean(), fc.constant(null));
    const name = fc.constantFrom('pressure', 'current', 'boot', 'seq', 'uptime', 'x', 'a/level');
    const record = fc.oneof(
      fc.record({ n: name, v: value, u: fc.constantFrom('Pa', 'A', 's', 'm') }),
      fc.dictionary(fc.constantFrom('bn', 'bt', 'n', 'v', 'u', 't', 'vs'), value),
      value,
    );
    fc.assert(
      fc.property(fc.array(record, { maxLength: 5 }), (json) => {
        for (const { readings, refused, boot, seq } of read(json)) {
          expect(readings.count + refused.length).toBeLessThanOrEqual(json.length + 1);
          expect(readings.timeS.every(Number.isFinite)).toBe(true);
          expect(readings.value.every(Number.isFinite)).toBe(true);
          for (const number of [boot, seq]) expect(Number(number ?? 0)).toBeGreaterThanOrEqual(0);
        }
      }),
      { seed: 8428 },
    );
  });
});

describe('nesting', () => {
  it('is seen without parsing, brackets in text left out', () => {
    const deep = (text: string, most: number) => isDeeper(bytesOf(text), most);
    expect(deep('[{"a":"[[[[{{"}]', 2)).toBe(false);
    expect(deep('[{"a\\"[":[1]}]', 2)).toBe(true);
    expect(deep('[{"a":[1]}]', 3)).toBe(false);
    expect(deep('["\\\\",[[1]]]', 2)).toBe(true);
    expect(deep('"[[[', 0)).toBe(false);
    expect(deep('['.repeat(100_000), 8)).toBe(true);
  });

  it('takes a pack of very many records with one word for those beyond the bound', async () => {
    const { reader } = await intakeWith();
    const bytes = bytesOf(`[${'1,'.repeat(130_000)}1]`);
    const packs = reader.read('ridge-house', bytes) as Arrived[];
    const codes = packs.flatMap(({ refused }) => refused.map(({ code }) => code));
    expect(codes.filter((code) => code === 'too-many-records')).toHaveLength(1);
    expect(codes.length).toBeLessThanOrEqual(2001);
  });
});
