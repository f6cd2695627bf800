import { describe, expect, it } from 'vitest';
import { findingOf } from '../../test/support/alarm-wells.ts';
import { wellOf } from '../../test/support/rehearsed-log.ts';
import { ADVICE } from '../model/advice.ts';
import type { Alarm } from '../model/alarm.ts';
import { ACT_CAUTIONS, CAUTIONS } from '../model/cautions.ts';
import { FAULT_NAMES, type FaultName } from '../model/faults.ts';
import { CONSEQUENCES } from './consequences.ts';
import { alarmWords, outageWords } from './notice-text.ts';
import { FAULT_WORDS, URGENCY_WORDS } from './words.ts';

const well = wellOf('name = "Ridge house"\nid = "ridge"\ntime_zone = "America/Denver"\n');

const alarmOf = (fault: FaultName, device: string | null = null): Alarm => ({
  ...{ id: 'alarm-1', fault, device, finding: `finding-${fault}`, probability: 0.9 },
  urgency: ADVICE[fault].urgency,
  since: '2026-06-01T12:00:00.000Z',
  state: 'unacknowledged',
  ...{ seenS: 0, raisedS: 0, goneS: null, returnedS: null, acknowledged: null, shelved: null },
  ...{ suppressed: null, hiddenBy: null, times: 1, told: null },
});

describe('what is told of a fault', () => {
  it('has cause, consequence, time to act, action, and every caution of its acts', () => {
    for (const fault of FAULT_NAMES) {
      const finding = findingOf(fault);
      const { subject, text } = alarmWords('raised', alarmOf(fault), { well, finding });
      const { label, wait } = URGENCY_WORDS[finding.urgency];
      expect(subject, fault).toBe(`${label}: ${FAULT_WORDS[fault]} (Ridge house)`);
      for (const part of [finding.action, wait, CONSEQUENCES[fault], '2026-06-01 06:00'])
        expect(text, fault).toContain(part);
      const { acts, nextTest } = ADVICE[fault];
      const ids = [...acts, ...(nextTest === null ? [] : [nextTest])].flatMap(
        (act) => ACT_CAUTIONS[act],
      );
      expect(ids.length, fault).toBeGreaterThan(0);
      for (const id of ids) expect(text, `${fault}: ${id}`).toContain(CAUTIONS[id]);
      // Beside the act, before all that explains.
      expect(text.lastIndexOf('Caution:'), fault).toBeLessThan(text.indexOf('Wait:'));
    }
  });

  it('names the device that is silent, with the cautions of a look at it', () => {
    const { subject, text } = alarmWords('raised', alarmOf('data-gap', 'tee-1'), {
      well,
      finding: null,
    });
    expect(subject).toContain('no readings come from "tee-1" any more');
    for (const id of ACT_CAUTIONS.look) expect(text).toContain(CAUTIONS[id]);
  });

  it('says what is feared, and what comes of that, where it looks harmless', () => {
    const instead = [{ fault: 'leak-burst', probability: 0.2 }];
    const finding = findingOf('heavy-use', { probability: 0.8, instead });
    const alarm = { ...alarmOf('heavy-use'), urgency: 'today' as const };
    const { subject, text } = alarmWords('raised', alarm, { well, finding });
    expect(subject).toBe('Today: heavy use of water, or a pipe has burst (Ridge house)');
    expect(text).toContain(CONSEQUENCES['leak-burst']);
    expect(text).toContain(CAUTIONS['flood-stay-away']);
  });
});

it('an outage is told with what the well did, in the units and by the clock of the well', () => {
  const glance = { currentA: null, pumpOn: false };
  const outage = {
    fromS: Date.parse('2026-06-01T12:00:00Z') / 1000,
    toS: Date.parse('2026-06-01T14:00:00Z') / 1000,
    ...{ cause: 'power' as const, readings: 0 },
    before: { ...glance, at: '2026-06-01T11:59:00Z', pressurePaGauge: 344_738 },
    after: null,
  };
  const { subject, text } = outageWords(outage, well);
  expect(subject).toBe('Since 2026-06-01 08:00 power is back (Ridge house)');
  expect(text).toContain('Before: 50.0 psi, pump off, at 2026-06-01 05:59.');
  expect(text).toContain('After: not known.');
  expect(text).toContain(CAUTIONS['breaker-reset-once']);
  expect(outageWords({ ...outage, cause: 'service', readings: 7 }, well).text).not.toContain('Do:');
});
