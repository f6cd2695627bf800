import { Validator } from '@seriousme/openapi-schema-validator';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { rehearsedLog } from '../support/rehearsed-log.ts';
import { joined } from './joined.ts';

const LOG = rehearsedLog({ letter: 'C', days: 2, seed: 61, restS: 20 });
const ID = LOG.well.id;

type Json = Record<string, unknown>;
interface Page {
  openapi: string;
  paths: Record<string, Record<string, { responses: Record<string, { content?: Content }> }>>;
  components: { schemas: Json };
}
type Content = Record<string, { schema: Json }>;

let on: Awaited<ReturnType<typeof joined>>;
let page: Page;
beforeAll(async () => {
  on = await joined([LOG.toml, 'name = "Barn"\n']);
  const endS = Date.now() / 1000 - 30;
  const records = LOG.timeS.map((t, i) => ({
    n: ['pressure', 'current'][LOG.channel[i]!],
    u: ['Pa', 'A'][LOG.channel[i]!],
    t: t + endS - LOG.timeS.at(-1)!,
    v: LOG.value[i],
  }));
  for (let at = 0; at < records.length; at += 1500)
    await on.post(ID, JSON.stringify(records.slice(at, at + 1500)));
  await on.post(ID, '[{"n":"pressure","u":"psi","v":55}]');
  await on.service.wells.advance();
  page = (await on.get('openapi.json')).body;
}, 20_000);
afterAll(() => on.close());

/** The same schema that takes nothing which it does not name. */
function closed(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(closed);
  if (schema === null || typeof schema !== 'object') return schema;
  const parts = Object.entries(schema).map(([key, part]) => [key, closed(part)]);
  const own = Object.fromEntries(parts);
  return 'properties' in own ? { additionalProperties: false, ...own } : own;
}

function validated(path: string, method: string, status: string, type: string) {
  const { schema } = page.paths[path]![method]!.responses[status]!.content![type]!;
  const ajv = new Ajv2020({ strict: false, formats: { 'date-time': true } });
  return ajv.compile(closed({ ...schema, components: page.components }) as Json);
}

const document = () => structuredClone(page) as unknown as Json;

it('is a document of OpenAPI 3.1, by the schema that its authors publish', async () => {
  expect(page.openapi).toMatch(/^3\.1\./);
  expect(JSON.stringify(page)).not.toContain('x-named');
  expect(await new Validator().validate(document())).toMatchObject({ valid: true });
  const broken = { ...document(), info: { title: 'without a version' } };
  expect(await new Validator().validate(broken)).toMatchObject({ valid: false });
});

it('names all that comes back, and no answer has more or less', async () => {
  const asked: Record<string, string> = { readings: '?channel=pressure&stretches=7' };
  let compared = 0;
  for (const [path, methods] of Object.entries(page.paths)) {
    const content = methods.get?.responses['200']?.content;
    if (content?.['application/json'] === undefined) continue;
    const valid = validated(path, 'get', '200', 'application/json');
    const last = path.split('/').at(-1)!;
    const address = path.replace('/api/v1/', '').replace('{well}', ID) + (asked[last] ?? '');
    const { status, body } = await on.get(address);
    expect(status, address).toBe(200);
    expect(valid(body), `${address}: ${JSON.stringify(valid.errors?.slice(0, 2))}`).toBe(true);
    // Nor is it a schema that takes anything.
    expect(valid({ ...body, other: 1 }), address).toBe(false);
    const [key = ''] = Object.keys(body);
    const { [key]: _, ...less } = body;
    expect(valid(less), address).toBe(false);
    compared += 1;
  }
  expect(compared).toBe(27);
  for (const kind of ['runs', 'days', 'draws'])
    expect((await on.get(`wells/${ID}/${kind}`)).body[kind].length, kind).toBeGreaterThan(1);
});

it('names what a device is told, and every error', async () => {
  const path = '/api/v1/wells/{well}/readings';
  const told = validated(path, 'post', '200', 'application/json');
  const { body } = await on.post(ID, '[{"n":"pressure","u":"Pa","v":1},{"n":"x","v":1}]');
  expect(told(body)).toBe(true);
  const problem = validated(path, 'post', 'default', 'application/problem+json');
  expect(problem((await on.post(ID, '{')).body)).toBe(true);
  expect(problem((await on.get('wells/none/now')).body)).toBe(true);
  on.service.wells.putBroken('barn', 'line 3: expected a name');
  const not = await on.get('readiness');
  expect(not.status).toBe(503);
  expect(validated('/api/v1/readiness', 'get', '503', 'application/json')(not.body)).toBe(true);
});
