import { expect, it } from 'vitest';
import { wellOf } from '../../test/support/rehearsed-log.ts';
import { PSI_PA } from '../units/table.ts';
import { FixedRules } from './fixed-rules.ts';

const well = wellOf(`name = "Rules"
[pump]
full_load_current = "8 A"
[switch]
cut_in = "40 psi"
cut_out = "60 psi"
[relief]
opens = "75 psi"
`);

/** Gives readings every 5 s and returns what was said, with when. */
function told(seconds: number, at: (timeS: number) => [psi: number, amps: number]) {
  const rules = new FixedRules(well);
  for (let t = 0; t <= seconds; t += 5) {
    const [psi, amps] = at(t);
    rules.step(t, psi * PSI_PA, amps);
  }
  return rules.said.map((one) => [one.history[0]!.fault, one.raisedS]);
}

it('says nothing of a pump that cycles twice an hour by day', () => {
  const runs = (t: number) => t > 6 * 3600 && t % 1800 < 120;
  expect(told(86_400, (t) => (runs(t) ? [50, 7.5] : [55, 0.03]))).toEqual([]);
});
it('says the third start between one and five on the second night of such', () => {
  const at = (t: number): [number, number] => (t % 3600 < 120 ? [50, 7.5] : [55, 0.03]);
  expect(told(2 * 86_400, at)).toEqual([['leak-house', 28 * 3600]]);
  const once = (t: number): [number, number] => at(t < 86_400 ? t : 200);
  expect(told(2 * 86_400, once)).toEqual([]);
});
it.each([
  ['switch-no-start', 60, [20, 0]],
  ['rotor-locked', 5, [35, 30]],
  ['running-dry', 30, [30, 5]],
  ['pump-dragging', 30, [50, 9.6]],
  ['switch-welded', 10, [72, 6.5]],
  ['pressure-wire-open', 60, [-12, 0]],
] as const)('says %s after %i s of its sign', (fault, afterS, [psi, amps]) => {
  expect(told(100, () => [psi, amps])).toEqual([[fault, afterS]]);
});
it('says a run of more than an hour once, and again after half a day without', () => {
  expect(told(7200, () => [50, 7.5])).toEqual([['leak-burst', 3605]]);
  const twice = told(80_000, (t) => (t < 7200 || t > 60_000 ? [50, 7.5] : [55, 0]));
  expect(twice.map(([fault]) => fault)).toEqual(['leak-burst', 'leak-burst']);
});
it('says more than fifteen starts an hour', () => {
  const said = told(3600, (t) => (t % 120 < 10 ? [50, 7.5] : [55, 0]));
  expect(said.map(([fault]) => fault)).toContain('tank-waterlogged');
});
it('says a pressure that rises without amps, and a silence', () => {
  expect(told(60, (t) => [40 + t / 3, 0])).toEqual([['current-clamp-off', 25]]);
  const rules = new FixedRules(well);
  rules.step(0, 50 * PSI_PA, 0);
  rules.step(3600, 50 * PSI_PA, 0);
  expect(rules.said.map((one) => one.history[0]!.fault)).toEqual(['data-gap']);
});
