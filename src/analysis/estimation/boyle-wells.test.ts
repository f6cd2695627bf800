import { describe, expect, it } from 'vitest';
import { feed, type RehearsedLog, studied, wellOf } from '../../../test/support/rehearsed-log.ts';
import { Pipeline } from '../../pipeline/pipeline.ts';

const GALLON_M3 = 0.003785411784;
const PSI_PA = 6894.757;
const DAY_S = 86_400;

/**
 * A well made by Boyle's law alone: 85 gal of tank at 28 psi, switch 30/50, so 25.1 gal a fill
 * (published drawdown factor 0.295; The Driller, Tech Topics), and a pump of constant flow.
 */
function boyleWell(pumpGpm: number, drawGpm: (t: number, sinceStopS: number) => number) {
  const well = wellOf(`name = "Boyle"
time_zone = "UTC"
altitude = "0 ft"
[pump]
rated_flow = "5 gpm"
[tank]
volume = { value = "85 gal", source = "measured", uncertainty = "0.4 gal" }
precharge = { value = "28 psi", source = "measured", uncertainty = "0.1 psi" }
[switch]
cut_in = "30 psi"
cut_out = "50 psi"
`);
  const constant = 42.696 * 85;
  let gas = constant / 54.696;
  let on = false;
  let stop = 0;
  const timeS: number[] = [];
  const channel: number[] = [];
  const value: number[] = [];
  for (let t = 0; t < 2 * DAY_S; t++) {
    const psi = constant / gas - 14.696;
    if (!on && psi <= 30) on = true;
    else if (on && psi >= 50) {
      on = false;
      stop = t;
    }
    gas += (drawGpm(t, on ? -1 : t - stop) - (on ? pumpGpm : 0)) / 60;
    if (t % (on ? 1 : 5) !== 0) continue;
    const noise = 0.02 * Math.sin(t * 12.9898) + 0.02 * Math.sin(t * 78.233);
    timeS.push(1_775_433_600 + t, 1_775_433_600 + t);
    channel.push(0, 1);
    value.push((psi + noise) * PSI_PA, on ? 6 : 0.02);
  }
  return { timeS, channel, value, well } as RehearsedLog;
}

const afterTenMinutes = (_t: number, sinceStopS: number): number => (sinceStopS > 600 ? 0.5 : 0);

describe('the water of a well made by the gas law alone', () => {
  const log = boyleWell(2, afterTenMinutes);
  const study = studied(log);

  it('is within 8 % run by run, not half, behind a flow-control valve', () => {
    expect(study.runs.length).toBeGreaterThan(30);
    for (const run of study.runs.slice(12, -1))
      expect(Math.abs(run.pumpedM3! / GALLON_M3 / 25.1 - 1)).toBeLessThan(0.08);
  });

  it('closes its book: used and lost are what was pumped and what the tank gave', () => {
    const pipeline = new Pipeline(log.well);
    feed(pipeline, log, 0, log.timeS.length);
    pipeline.end();
    const [scale] = study.scale;
    const perUnit = scale!.tankConstantPaM3! / pipeline.estimation.known.referencePa;
    for (const [k, day] of study.days.entries()) {
      const gave = pipeline.estimation.state.days[k]!.change * perUnit;
      expect(day.usedM3! + day.lossM3!).toBeCloseTo(day.pumpedM3! + gave, 9);
    }
  });

  it('is in wide doubt where no quiet stop ever showed the gas', () => {
    const restless = studied(boyleWell(5, (_t, sinceStopS) => (sinceStopS >= 0 ? 0.5 : 0)));
    const run = restless.runs.at(-3)!;
    expect(Math.abs(run.pumpedM3! / GALLON_M3 - 25.1)).toBeLessThan(
      1.96 * (run.pumpedM3Std! / GALLON_M3),
    );
  });
});
