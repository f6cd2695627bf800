import { expect, it } from 'vitest';
import { parseWellFile } from '../../src/wellfile/parse.ts';
import { textOf } from '../support/source-scan.ts';

it('the well file of docs/device.md is one, with a calibration for each raw channel', () => {
  const [, toml = ''] = /```toml\n([\s\S]*?)```/.exec(textOf('docs/device.md')) ?? [];
  const result = parseWellFile(toml);
  expect(result.ok ? [] : result.issues).toEqual([]);
  const channels = result.ok ? result.well.calibrations.map(({ channel }) => channel) : [];
  expect(channels).toEqual(['pressure', 'current']);
});

it('every setting is used by the program, and the program uses no other', () => {
  const settings = [...textOf('device/settings.py').matchAll(/^([A-Z_]+) =/gm)].map((m) => m[1]);
  const used = [...textOf('device/main.py').matchAll(/\bmy\.([A-Z_]+)/g)].map((m) => m[1]);
  expect(settings.length).toBeGreaterThan(15);
  expect([...new Set(used)].toSorted()).toEqual(settings.toSorted());
});
