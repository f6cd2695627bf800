import { describe, expect, it } from 'vitest';
import { readPairs } from './pairs.ts';

const read = (text: string, channel: 'pressure' | 'current' = 'pressure') =>
  readPairs(text, 'pairs.csv', channel);

describe('paired readings', () => {
  it('come in SI with their uncertainties and times', () => {
    const result = read(
      'time,pressure-raw [mV],pressure-raw std [mV],pressure [psi],pressure std [psi]\n' +
        '2026-04-01T15:00:00Z,503,1,0,0.3\n1775055600,2100,,40,\n',
    );
    expect(result.ok && result.raw).toBe('V');
    if (!result.ok) throw new Error(result.problems.join('\n'));
    const [first, second] = result.pairs;
    expect(first?.raw).toBeCloseTo(0.503, 12);
    expect(first?.rawStd).toBeCloseTo(0.001, 12);
    expect(first?.referenceStd).toBeCloseTo(0.3 * 6894.757, 0);
    expect(first?.atS).toBe(Date.UTC(2026, 3, 1, 15) / 1000);
    expect(second?.atS).toBe(1775055600);
    expect(second?.reference).toBeCloseTo(40 * 6894.757, 0);
    expect(second?.rawStd).toBeNaN();
  });
  it('may be counts, parted by semicolons, with a decimal comma', () => {
    const result = read('current-raw [count];current [A]\n"12";0,4\n850;8,15\n', 'current');
    expect(result).toMatchObject({ ok: true, raw: 'count' });
    expect(result.ok && result.pairs.map(({ reference }) => reference)).toEqual([0.4, 8.15]);
  });
  it.each([
    ['', /pairs\.csv:1: expected the columns pressure-raw .*found nothing/],
    ['pressure [psi]\n3\n', /:1: expected the columns pressure-raw/],
    ['pressure-raw [V],current [A]\n1,2\n', /:1: expected the columns.*found "current \[A\]"/],
    [
      'pressure-raw [V],pressure [A]\n1,2\n',
      /:1: expected a unit of pressure.*found "pressure \[A\]"/,
    ],
    ['pressure-raw [V],pressure\n1,2\n', /:1: expected a unit of pressure/],
    ['pressure-raw [V],pressure [psi],pressure [psi]\n1,2,2\n', /expected each column once/],
    ['pressure-raw [V],pressure [psi]\n', /expected rows of readings, found none/],
    ['pressure-raw [V],pressure [psi]\n1\n', /:2: expected 2 cells, found 1/],
    ['pressure-raw [V],pressure [psi]\n1,two\n', /:2: expected a number in column 2, found "two"/],
    ['pressure-raw [V],pressure [psi]\n1,\n', /:2: expected a number in column 2, found ""/],
    ['time,pressure-raw [V],pressure [psi]\nnoon,1,2\n', /:2: expected a time such as/],
    [
      'pressure-raw [V],pressure [psi],pressure std [psi]\n1,2,-0.3\n',
      /:2: expected an uncertainty of 0 or more in column 3, found "-0\.3"/,
    ],
  ])('that cannot be used say where and why: %j', (text, says) => {
    const result = read(text);
    expect(result.ok).toBe(false);
    expect(result.ok ? '' : result.problems.join('\n')).toMatch(says);
  });
  it('list all that is wrong', () => {
    const result = read('pressure-raw [V],pressure [psi]\nx,1\n\n2,y\n');
    expect(result.ok ? [] : result.problems.map((text) => text.split(': ')[0])).toEqual([
      'pairs.csv:2',
      'pairs.csv:4',
    ]);
  });
});
