import { describe, expect, it } from 'vitest';
import { rehearsedLog, studied } from '../../test/support/rehearsed-log.ts';

describe('a device that falls back to a reading every two minutes', () => {
  const log = rehearsedLog({ letter: 'E', days: 6, seed: 151 });
  const fromS = log.timeS[0]! + 3 * 86_400;
  const untilS = fromS + 86_400;
  const seldom = (channel: number): Set<number> => {
    const kept = new Set<number>();
    let lastS = Number.NEGATIVE_INFINITY;
    log.timeS.forEach((timeS, i) => {
      if (log.channel[i] !== channel || timeS - lastS < 120) return;
      kept.add(i);
      lastS = timeS;
    });
    return kept;
  };
  const kept = new Set([...seldom(0), ...seldom(1)]);
  const pick = (list: number[]) =>
    list.filter((_, i) => {
      const timeS = log.timeS[i]!;
      return timeS < fromS || timeS > untilS || kept.has(i);
    });
  const thinned = {
    ...log,
    timeS: pick(log.timeS),
    channel: pick(log.channel),
    value: pick(log.value),
  };

  it('is told once as that and as nothing else, and cleared when readings are back', () => {
    const { findings } = studied(thinned);
    expect(findings.map(({ fault }) => fault)).toEqual(['sampling-too-slow']);
    const raisedS = Date.parse(findings[0]!.raised) / 1000;
    expect(raisedS).toBeGreaterThan(fromS);
    expect(raisedS).toBeLessThan(untilS + 3600);
    expect(findings[0]!.cleared).not.toBeNull();
  });

  it('is not told of the same well with all its readings', () => {
    expect(studied(log).findings).toEqual([]);
  });
});
