import { describe, expect, it } from 'vitest';
import { readScenario } from '../../src/cli/rehearse/scenario-file.ts';
import { FAULT_NAMES } from '../../src/model/faults.ts';
import { FAULT_MODELS } from '../../src/simulation/faults/faults.ts';
import { textOf } from '../support/source-scan.ts';

const page = textOf('docs/rehearsal.md');

describe('the page on rehearsing', () => {
  it('has every fault that can be rehearsed, which is every fault with a name', () => {
    const named = FAULT_NAMES.filter((name) => name !== 'unknown-trouble');
    expect(Object.keys(FAULT_MODELS).toSorted()).toEqual([...named].toSorted());
    const rows = page.split('\n').filter((line) => line.startsWith('| `'));
    const printed = rows.flatMap((line) =>
      [...line.split('|')[1]!.matchAll(/`([\w-]+)`/g)].map((m) => m[1]),
    );
    expect(printed.toSorted()).toEqual([...named].toSorted());
  });
  it('says how each of them usually grows', () => {
    for (const [name, { growthDays }] of Object.entries(FAULT_MODELS)) {
      const cells = page
        .split('\n')
        .find((line) => line.startsWith('| `') && line.includes(`\`${name}\``));
      const grows = cells?.split('|')[3]?.trim();
      expect(grows, name).toBe(growthDays === 0 ? '' : `${growthDays} days`);
    }
  });
  it('shows a scenario that is one', () => {
    const [, toml = ''] = /```toml\n([\s\S]*?)```/.exec(page) ?? [];
    const scenario = readScenario(toml, 'docs');
    expect(scenario.faults).toEqual([
      { name: 'pump-worn', onsetDay: 10, growthDays: 15, severity: 1, mendedDay: 28 },
    ]);
    expect(scenario.troubles.outageMeanS).toBe(360);
  });
});
