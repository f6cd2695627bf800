import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { WHOLE, wellOfKeys } from '../../../test/support/wells.ts';
import { checkInstallation } from './check-installation.ts';

const page = readFileSync('docs/instruments.md', 'utf8');

it('docs/instruments.md has every result in its order, and no other', () => {
  const section = page.slice(page.indexOf('## Installation check'));
  const rows = [...section.matchAll(/^\| `([a-z-]+)` +\|.*\|.*\|$/gm)].map(([, id]) => id);
  const { results } = checkInstallation(wellOfKeys(WHOLE));
  expect(rows.slice(0, results.length)).toEqual(results.map(({ id }) => id));
});

it('shows limits where there are some', () => {
  const submersible = { ...WHOLE, 'pump.power': '3 hp' };
  const jet = {
    ...WHOLE,
    'pump.kind': 'jet',
    'pump.curve': '[["0 gpm", "400 ft"], ["20 gpm", "50 ft"]]',
  };
  const limited = [submersible, jet]
    .flatMap((keys) => checkInstallation(wellOfKeys(keys)).results)
    .flatMap(({ id, limit }) => (limit === null ? [] : [id]));
  for (const { id } of checkInstallation(wellOfKeys(WHOLE)).results) {
    const [, cell = ''] =
      new RegExp(`^\\| \`${id}\` +\\|[^|]*\\|([^|]*)\\|$`, 'm').exec(page) ?? [];
    expect(cell.trim() !== '', id).toBe(limited.includes(id));
  }
});
