import { expect, it } from 'vitest';
import { readingsOfLog } from './log-text.ts';

it('a log becomes readings by channel, an empty cell none', () => {
  const found = readingsOfLog(
    'time,pressure [Pa],current [A]\n10.5,300000,\n11,,7.9\n12,301000,8\n',
  );
  expect(found.get('pressure')).toEqual([
    { timeS: 10.5, value: 300_000 },
    { timeS: 12, value: 301_000 },
  ]);
  expect(found.get('current')).toEqual([
    { timeS: 11, value: 7.9 },
    { timeS: 12, value: 8 },
  ]);
  expect(readingsOfLog('time\n').size).toBe(0);
});
