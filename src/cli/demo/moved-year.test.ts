import { expect, it } from 'vitest';
import { movedToEnd } from './moved-year.ts';

const DAY_S = 86_400;
const YEAR = {
  log: 'time,pressure [psi],current [A]\n86400.6,44.82,0.03\n129600.5,45,\n172799.4,45.30,\n',
  wellFile: 'name = "Mill"\n[[service]]\non = 1970-01-02T12:00:00Z\n',
};

it('ends at the instant, at the hours of the day that it had, its services with it', () => {
  const { log, wellFile } = movedToEnd(YEAR, 10.9 * DAY_S);
  // Nine days on; what would lie beyond the instant is left out.
  expect(log).toBe('time,pressure [psi],current [A]\n864000.6,44.82,0.03\n907200.5,45,\n');
  expect(wellFile).toBe('name = "Mill"\n[[service]]\non = 1970-01-11T12:00:00.000Z\n');
});

it('reaches to the instant, and is cut off by less than a day for that', () => {
  const rows = movedToEnd(YEAR, 11.4 * DAY_S)
    .log.trimEnd()
    .split('\n')
    .slice(1);
  expect(rows).toEqual(['950400.6,44.82,0.03']);
});
