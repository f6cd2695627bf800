import { instant } from '../base/instant.ts';
import { FOOT_M, GALLON_M3, GPM_M3_PER_S, PSI_PA } from './constants.ts';
import type { Random } from './random.ts';
import type { TestResult } from './test-keeper.ts';

/** A test as a table of the well file, with what watch, gauge, bucket and tape make of it. */
export function testText(test: TestResult, random: Random): string {
  // A watch in the kitchen: good to two minutes (design of the well file).
  const watched = (s: number) => instant(s + Math.max(-110, Math.min(110, 40 * random.normal())));
  const psi = (pa: number, std: number) =>
    `"${Math.max(pa / PSI_PA + std * random.normal(), 0).toFixed(1)} psi"`;
  const gpm = (flow: number) =>
    `"${((flow / GPM_M3_PER_S) * (1 + 0.015 * random.normal())).toFixed(2)} gpm"`;
  const lines = [`[[${test.kind}]]`, `start = ${watched(test.startS)}`];
  if (test.stopS > test.startS) lines.push(`stop = ${watched(test.stopS)}`);
  if (test.houseValve) lines.push(`house_valve = "${test.houseValve}"`);
  if (test.pressurePaGauge !== undefined)
    lines.push(`pressure = ${psi(test.pressurePaGauge, 0.7)}`);
  if (test.volumeM3 !== undefined) {
    const gallons = (test.volumeM3 / GALLON_M3) * (1 + 0.007 * random.normal());
    lines.push(`volume = "${gallons.toFixed(2)} gal"`);
  }
  if (test.flowM3PerS !== undefined) lines.push(`flow = ${gpm(test.flowM3PerS)}`);
  if (test.levelM !== undefined)
    lines.push(`level = "${(test.levelM / FOOT_M + 0.3 * random.normal()).toFixed(1)} ft"`);
  if (test.pump) lines.push(`pump = "${test.pump}"`);
  if (test.points) {
    const pairs = test.points.map((p) => `[${psi(p.pressurePaGauge, 0.4)}, ${gpm(p.flowM3PerS)}]`);
    lines.push(`points = [${pairs.join(', ')}]`);
  }
  return `\n${lines.join('\n')}\n`;
}
