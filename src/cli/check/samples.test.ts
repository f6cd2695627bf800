import { expect, it } from 'vitest';
import { readSamples } from './samples.ts';

const read = (text: string) => readSamples(text, 'burst.csv');

it('takes one column of volts or counts, with a decimal comma too', () => {
  expect(read('current-raw [V]\n1.65\n1,7\n')).toEqual({ ok: true, values: [1.65, 1.7], raw: 'V' });
  expect(read('\ufeff"current-raw [count]"\r\n12\r\n\r\n-13\r\n')).toEqual({
    ok: true,
    values: [12, -13],
    raw: 'count',
  });
  const milli = read('current-raw [mV]\n1650\n');
  expect(milli.ok && milli.values[0]).toBeCloseTo(1.65, 12);
});

it.each([
  ['', /burst\.csv:1: expected one column current-raw \[V\] .*, found nothing/],
  ['1.65\n1.7\n', /:1: expected one column .*found "1\.65"/],
  ['current-raw [A]\n1\n', /found "current-raw \[A\]"/],
  ['pressure-raw [V]\n1\n', /found "pressure-raw \[V\]"/],
  ['current-raw [V]\n', /expected 1 to 1000000 samples, found 0/],
  ['current-raw [V]\n1\nx\n', /:3: expected a number, found "x"/],
  ['current-raw [V]\n1;2\n', /:2: expected a number, found "1;2"/],
])('refuses %j and says where and why', (text, says) => {
  const result = read(text);
  expect(result.ok ? '' : result.problems.join('\n')).toMatch(says);
});

it('tells the first of many rows that are wrong, and how many more', () => {
  const result = read(`current-raw [V]\n${'a,b\n'.repeat(50)}`);
  expect(result.ok ? [] : result.problems).toHaveLength(21);
  expect(result.ok ? '' : result.problems.at(-1)).toBe('burst.csv: and 30 more');
});
