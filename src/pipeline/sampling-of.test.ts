import { describe, expect, it } from 'vitest';
import { feed, rehearsedLog, wellOf } from '../../test/support/rehearsed-log.ts';
import { CHANNELS } from '../model/reading.ts';
import { atHand } from './at-hand.ts';
import { presentState, restIntervalS, usualSilenceS } from './now.ts';
import { Pipeline } from './pipeline.ts';
import { studyOf } from './result.ts';

const LOG = rehearsedLog({ letter: 'C', days: 1, seed: 61, restS: 10 });
const PSI_PA = 6894.757293168361;

/** The same well by sensors that give volts: 0.5 V and 0.04 V a psi, and 0.1 V an ampere. */
const inVolts = (log: typeof LOG): typeof LOG => ({
  ...log,
  channel: log.channel.map((one) => CHANNELS.indexOf(one === 0 ? 'pressure-raw' : 'current-raw')),
  value: log.value.map((v, i) => (log.channel[i] === 0 ? 0.5 + (0.04 * v) / PSI_PA : v / 10)),
  well: wellOf(`${log.toml}
[[calibration]]
channel = "pressure"
from = 2026-04-01T00:00:00Z
raw = "V"
points = [["0.5 V", "0 psi"], ["4.5 V", "100 psi"]]

[[calibration]]
channel = "current"
from = 2026-04-01T00:00:00Z
raw = "V"
points = [["0 V", "0 A"], ["2 V", "20 A"]]
`),
});

function studied(log: typeof LOG): Pipeline {
  const pipeline = new Pipeline(log.well);
  feed(pipeline, log, 0, log.timeS.length);
  return pipeline;
}

describe('readings in volts', () => {
  it('stand as fresh, and as often, as the same in pressure and amps', () => {
    const [plain, raw] = [studied(LOG), studied(inVolts(LOG))];
    expect(usualSilenceS(raw)).toBeCloseTo(usualSilenceS(plain), 6);
    expect(restIntervalS(raw)).toBeCloseTo(restIntervalS(plain), 6);
    const [expected, found] = [presentState(plain), presentState(raw)];
    expect(expected.pressurePaGauge).not.toBeNull();
    // As single-precision values of the rehearsal allow.
    expect(found.pressurePaGauge!).toBeCloseTo(expected.pressurePaGauge!, -1);
    expect(found.currentA!).toBeCloseTo(expected.currentA!, 3);
    expect(found.pump.on).toBe(expected.pump.on);
    expect(found.unknown).toEqual(expected.unknown);
    const { channels, ...rest } = atHand(raw);
    expect(channels.filter((name) => !name.endsWith('-raw'))).toEqual(atHand(plain).channels);
    expect(rest).toEqual({ ...atHand(plain), channels: undefined });
    expect(raw.hasAmps).toBe(true);
  });

  it.each(['fast-while-running', 'on-change'] as const)(
    'that stop for an hour are a gap, as in pressure and amps (%s)',
    (policy) => {
      const log = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 10, policy });
      const fromS = log.timeS[0]! + 31.4 * 3600;
      const kept = log.timeS.map((t) => t < fromS || t > fromS + 3600);
      const cut = {
        ...log,
        timeS: log.timeS.filter((_, i) => kept[i]),
        channel: log.channel.filter((_, i) => kept[i]),
        value: log.value.filter((_, i) => kept[i]),
      };
      const [plain, raw] = [cut, inVolts(cut)].map((one) => {
        const pipeline = studied(one);
        pipeline.end();
        return studyOf(pipeline, { setAside: [], told: [] });
      });
      expect(plain!.runs.length).toBeGreaterThan(10);
      expect(raw!.runs.map(({ ended }) => ended)).toEqual(plain!.runs.map(({ ended }) => ended));
      expect(raw!.days.map(({ coveredS }) => coveredS)).toEqual(
        plain!.days.map(({ coveredS }) => coveredS),
      );
      for (const [k, day] of plain!.days.entries())
        expect(raw!.days[k]!.usedM3! / day.usedM3!).toBeCloseTo(1, 2);
      expect(raw!.draws.length).toBe(plain!.draws.length);
    },
  );
});
