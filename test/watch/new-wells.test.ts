import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { joined } from './joined.ts';

const TEXT = 'name = "Gravel bend"\n\n[switch]\ncut_in = "30 psi"\ncut_out = "50 psi"\n';

let on: Awaited<ReturnType<typeof joined>>;
beforeEach(async () => {
  on = await joined([]);
});
afterEach(() => on.close());

const make = async (text: string) => {
  const response = await fetch(`${on.api}/wells`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ text }),
  });
  const body = (await response.json()) as { detail: string; errors: unknown[] };
  return { status: response.status, body };
};

it('a well made while the service runs lives at once, its file beside the others', async () => {
  expect((await on.get('wells')).body).toEqual({ wells: [] });
  expect((await on.get('readiness')).status).toBe(200);
  const none = await on.post('gravel-bend', '[{"n":"pressure","u":"Pa","v":300000}]');
  expect(none).toMatchObject({ status: 404, body: { code: 'unknown-well' } });
  expect(await make(TEXT)).toEqual({ status: 200, body: { well: 'gravel-bend' } });
  expect(readFileSync(join(on.folder, 'gravel-bend.well.toml'), 'utf8')).toBe(TEXT);
  const taken = await on.post('gravel-bend', '[{"n":"pressure","u":"Pa","v":300000}]');
  expect(taken).toMatchObject({ status: 200, body: { accepted: 1 } });
  expect((await on.get('wells')).body.wells).toMatchObject([
    { well: 'gravel-bend', name: 'Gravel bend', state: 'alive', readings: 1 },
  ]);
  expect((await on.get('wells/gravel-bend/alarms')).status).toBe(200);
  expect((await on.get('wells/gravel-bend/file-text')).body.text).toBe(TEXT);
});

it('one that cannot be is refused with what was expected; nothing is written', async () => {
  const wrong = await make(TEXT.replace('"30 psi"', '"30"'));
  expect(wrong).toMatchObject({ status: 422, body: { code: 'file-errors' } });
  expect(wrong.body.errors).toMatchObject([{ line: 4, key: 'switch.cut_in' }]);
  expect(existsSync(join(on.folder, 'gravel-bend.well.toml'))).toBe(false);
  await make(TEXT);
  const again = await make(TEXT);
  expect(again).toMatchObject({ status: 409, body: { code: 'not-possible' } });
  expect(again.body.detail).toContain('expected a well that is not here yet, found gravel-bend');
});

it('a device is told where to hand in', async () => {
  const { mqtt } = on.service.ports;
  expect((await on.get('ways-in')).body).toEqual({
    mqttPort: mqtt,
    plainMqttPort: null,
    isLocal: true,
  });
});
