import { describe, expect, it } from 'vitest';
import type { Reminder } from '../../src/model/book.ts';
import type { FindingEntry, Urgency } from '../../src/model/study.ts';
import type { WellNow } from '../../src/model/well-now.ts';
import { wellOfKeys } from '../../test/support/wells.ts';
import { figuresFor } from './figures.ts';
import { rankOf, standingOf } from './standing.ts';

const WELL = wellOfKeys({ name: 'Ridge', 'switch.cut_in': '40 psi', 'switch.cut_out': '60 psi' });
const FIGURES = figuresFor(WELL, null);
const PSI_PA = 6894.757;

const finding = (fault: string, urgency: Urgency): FindingEntry =>
  ({
    id: fault,
    fault,
    urgency,
    probability: 0.9,
    cleared: null,
    replacedBy: null,
  }) as FindingEntry;

const now = (psi: number | null, findings: FindingEntry[] = []): WellNow =>
  ({
    at: '2026-04-06T12:00:00.000Z',
    lastReading: '2026-04-06T12:00:00.000Z',
    pressurePaGauge: psi === null ? null : psi * PSI_PA,
    pump: { on: false, since: null },
    silence: null,
    replay: null,
    findings,
  }) as unknown as WellNow;

const reminder = (name: Reminder['name'], due: string | null): Reminder => ({
  ...{ name, due, last: null, opened: false },
});

const says = (of: WellNow, isLive = true, reminders: Reminder[] = []) => {
  const how = { isLive, figures: FIGURES, reminders };
  const { water, todo, state } = standingOf(of, WELL, how);
  // A figure and its unit are tied by a space that no line breaks at.
  return [`${water} ${todo}`.replaceAll('\u00a0', ' '), state];
};

describe('the one sentence', () => {
  it('says that there is water and nothing to do', () => {
    expect(says(now(52.3))).toEqual([
      'There is water: 52.3 psi at the tank. Nothing needs doing.',
      'well',
    ]);
  });
  it('names the most urgent of what needs doing, and how many more there are', () => {
    const both = [finding('precharge-low', 'weeks'), finding('tank-waterlogged', 'today')];
    expect(says(now(52.3, both))).toEqual([
      'There is water: 52.3 psi at the tank. ' +
        'Today: the tank has lost its air (waterlogged). One more finding.',
      'bad',
    ]);
    expect(says(now(52.3, [finding('heavy-use', 'note')]))[1]).toBe('well');
  });
  it('says what is due, after the findings and less urgent', () => {
    const all = [
      reminder('air-charge', '2026-04-06T12:00:00.000Z'),
      reminder('water-sample', '2026-04-06T12:00:00.001Z'),
      reminder('calibration', null),
    ];
    const water = 'There is water: 52.3 psi at the tank.';
    expect(says(now(52.3), true, all)).toEqual([
      `${water} Due: check the air charge of the tank.`,
      'well',
    ]);
    const both = [
      reminder('air-charge', '2026-01-01T00:00:00Z'),
      { ...all[0]!, name: 'water-sample' as const },
    ];
    expect(says(now(52.3, [finding('precharge-low', 'weeks')]), true, both)).toEqual([
      `${water} Within weeks: the precharge of the tank is low. ` +
        'Due: check the air charge of the tank, take a water sample.',
      'asks',
    ]);
    const how = { isLive: true, figures: FIGURES, reminders: all };
    expect(standingOf(now(52.3), WELL, how).asks).toEqual({ finding: false, due: true });
  });
  it('counts on no water where a finding says so, or the line is empty', () => {
    expect(says(now(45, [finding('running-dry', 'now')]))[0]).toMatch(
      /^Water cannot be counted on: the pump runs dry\. It cannot wait: /,
    );
    expect(says(now(6))[0]).toMatch(/^Water is in doubt: only 6\.0 psi/);
  });
  it('claims nothing of this moment where it is not live', () => {
    expect(says(now(52.3), false)).toEqual([
      'Whether there is water is not known now. ' +
        'When last heard of, 2026-04-06 12:00, the tank stood at 52.3 psi. Nothing needs doing.',
      'unknown',
    ]);
    const silent = { ...now(52.3), silence: { since: '', forS: 9e3, usualS: 60, urgency: 'note' } };
    expect(says(silent as WellNow)[1]).toBe('unknown');
  });
  it('the well that asks for most comes first', () => {
    const dry = now(5, [finding('running-dry', 'now')]);
    const low = now(50, [finding('precharge-low', 'weeks')]);
    expect([dry, low, now(50), undefined].map((one) => rankOf(one, []))).toEqual([0, 3, 5, 5]);
    const due = [reminder('water-sample', '2026-04-01T00:00:00.000Z')];
    expect([dry, low, now(50)].map((one) => rankOf(one, due))).toEqual([0, 3, 4]);
  });
});
