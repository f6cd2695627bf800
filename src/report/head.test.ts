import { expect, it } from 'vitest';
import { findingOf, flat, runOf, studyOf, wellOf } from '../../test/study-fixture.ts';
import type { Study } from '../model/study.ts';
import { figuresOf } from './figures.ts';
import { head } from './head.ts';

const told = (parts: Partial<Study>) => {
  const study = studyOf(parts);
  return flat(head(study, figuresOf(study, wellOf())).join('\n'));
};

it('takes a finding that another replaced for no work', () => {
  const replaced = findingOf({ replacedBy: 'f2' });
  expect(told({ findings: [replaced] })).toContain('Nothing in this log asks for you.');
});

it('takes a note for no work', () => {
  const note = findingOf({ fault: 'heavy-use', urgency: 'note' });
  expect(told({ findings: [note] })).toContain('Nothing in this log asks for you.');
});

it('judges the water by the last run seen whole, and says that the log ends in one', () => {
  const whole = runOf({ stop: '2026-04-06T12:14:02Z' });
  const cut = runOf({
    start: '2026-04-07T06:20:00Z',
    stop: null,
    stopStdS: null,
    ended: 'log-end',
    cutOutPaGauge: null,
  });
  expect(told({ runs: [whole, cut] })).toContain(
    'Yes: the last whole run reached cut-out (60.1 psi) on 2026-04-06 06:14. The log ends in a',
  );
  expect(told({ runs: [cut] })).toContain('it holds no whole pump run');
});

it('leaves out reasons that set nothing aside', () => {
  const span = { ...studyOf().span, setAside: { duplicate: 0, late: 2 } };
  expect(told({ span })).toContain('2 set aside (2 come too late).');
});

it('tells the median error of starts and stops', () => {
  const runs = [0.1, 0.1, 2, 2, 2].map((std) => runOf({ startStdS: std, stopStdS: std }));
  expect(told({ runs })).toContain('Starts and stops are good to ± 4 s.');
});

it('tells slow readings in minutes and fast ones below a second', () => {
  const every = (pressure: number) =>
    told({ span: { ...studyOf().span, readings: { pressure, current: 1 } } });
  // 24.5 h = 88 200 s
  expect(every(294)).toContain('One pressure reading every 5 min');
  expect(every(176_400)).toContain('One pressure reading every 0.5 s');
});

it('says of a device that reports on change that it does', () => {
  const moving = 'pressure: on change, about every 120 s, silent for 133 s at most';
  expect(told({ told: ['current: on change, about every 60 s', moving] })).toContain(
    'Pressure is reported on change: one reading every 5 s on average.',
  );
  expect(told({ told: ['current: on change, about every 60 s'] })).toContain(
    'One pressure reading every 5 s on average.',
  );
});
