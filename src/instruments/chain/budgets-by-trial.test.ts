import { expect, it } from 'vitest';
import { checkChain } from './check-chain.ts';
import { parseSensing } from './parse-sensing.ts';
import type { BudgetAt, ChainContext } from './types.ts';

// The whole chain worked through with errors drawn at random (GUM Supplement 1, JCGM 101), against
// the budgets, which never see more than one source at a time.
const PSI = 6894.757293168361;
const TRIALS = 20_000;

/** Evenly spread from 0 to 1; a small generator with a fixed seed. */
function createUniform(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
}
const uniform = createUniform(20_260_401);
const within = (limit: number) => limit * (2 * uniform() - 1);
const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());

function spreadOf(trial: () => number): number {
  let sum = 0;
  let square = 0;
  for (let i = 0; i < TRIALS; i++) {
    const value = trial();
    sum += value;
    square += value * value;
  }
  return Math.sqrt(square / TRIALS - (sum / TRIALS) ** 2);
}

const context: ChainContext = {
  units: 'us',
  cutInPaGauge: 40 * PSI,
  cutOutPaGauge: 60 * PSI,
  reliefPaGauge: 75 * PSI,
  runA: 8,
  inrushA: 24,
};
const sensing = {
  pressure: {
    range: '150 psi',
    output: ['0.5 V', '4.5 V'],
    ratiometric: true,
    supply_sag: '1 %',
    accuracy: '0.5 %',
    temperature_error_per_kelvin: '0.02 %',
    temperature_swing: '10 K',
    drift_per_year: '0.2 %',
    noise: '0.1 psi',
    divider: ['5 kohm', '10 kohm'],
    divider_tolerance: '1 %',
  },
  current: {
    range: '25 A',
    output: '12.5 mA',
    burden: '66 ohm',
    class: 1,
    noise: '0.02 A',
    bias: '1.65 V',
  },
  converter: { bits: 8, range: '3.3 V', reference: 'absolute', accuracy: '0.5 %', rate: '1320 Hz' },
  sampling: { mains: '60 Hz', window: '38 ms' },
};
const read = parseSensing(sensing);
const report = checkChain(read.chain!, context);
const budgets = report.channels.flatMap((channel) => channel.budgets);
const at = (name: BudgetAt['at'], value: number) =>
  budgets.find((budget) => budget.at === name && budget.value === value)!;

it.each([
  ['zero', 0],
  ['cut-in', 40],
  ['cut-out', 60],
] as const)('pressure at %s, %d psi', (name, psi) => {
  const step = 3.3 / 256;
  const trial = () => {
    const errors = within(0.75) + within(0.002 * 150) + within(0.002 * 150) + 0.1 * normal();
    const sensorV = (0.5 + (4 * (psi + errors)) / 150) * (1 + within(0.01));
    const [series, ground] = [5 * (1 + within(0.01)), 10 * (1 + within(0.01))];
    // A true value may stand anywhere within its step, so it is moved by a part of one.
    const inputV = (sensorV * ground) / (series + ground) + within(0.005 * 3.3) + within(step / 2);
    const readV = Math.round(inputV / step) * step;
    return ((readV / (10 / 15) - 0.5) / 4) * 150;
  };
  const budget = at(name, psi * PSI);
  // Moving by a part of a step adds its variance once more: the step counts twice in the trial.
  const stepPsi = ((step / (10 / 15)) * 150) / 4 / Math.sqrt(12);
  const byTrial = Math.sqrt(spreadOf(trial) ** 2 - stepPsi ** 2);
  expect(Math.abs(budget.std / PSI / byTrial - 1)).toBeLessThan(0.02);
  expect(budget.rows.map(({ source }) => source)).toContain('sag of the supply');
});

it('current while the pump runs', () => {
  // Class 1 at 32 % of rated current: between 1.5 % at 20 % and 1 % at 100 %.
  const ratio = 0.015 - 0.005 * (12 / 80);
  const count = Math.round(0.038 * 1320);
  const trial = () => {
    const gain = (1 + within(ratio)) * (1 + within(0.01)) * (1 + within(0.005));
    const phase = 2 * Math.PI * uniform();
    let square = 0;
    for (let i = 0; i < count; i++) {
      square += Math.sin((2 * Math.PI * 60 * i) / 1320 + phase) ** 2;
    }
    return 8 * gain * Math.sqrt((2 * square) / count);
  };
  const budget = at('run', 8);
  const step = budget.rows.find(({ source }) => source === 'resolution of the converter')!;
  // The trial leaves out the step, which the budget takes whole though a burst averages it.
  const std = Math.sqrt(budget.std ** 2 - step.contribution ** 2);
  expect(Math.abs(std / spreadOf(trial) - 1)).toBeLessThan(0.03);
});

it('lists its sources with the greatest share where one would look for it', () => {
  const main = (budget: BudgetAt) => budget.rows.reduce((a, b) => (b.share > a.share ? b : a));
  expect(main(at('cut-out', 60 * PSI)).source).toBe('converter: error');
  expect(main(at('zero', 0)).source).toBe('converter: error');
});
