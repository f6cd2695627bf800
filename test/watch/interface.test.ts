import { writeFileSync } from 'node:fs';
import { get as request } from 'node:http';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { studyLogs } from '../../src/cli/commands/study.ts';
import { rehearsedLog, schema } from '../support/rehearsed-log.ts';
import { textOf } from '../support/source-scan.ts';
import { joined } from './joined.ts';

const LOG = rehearsedLog({ letter: 'C', days: 1, seed: 61, restS: 20 });
const ID = LOG.well.id;
const OTHER = 'name = "Barn"\n';
const AGO_S = Math.floor(Date.now() / 1000) - 60;
/**
 * The rehearsed log ends a minute ago, or three at the end of an hour: a day that began with a full
 * hour would lie in 24 of them, and not in 25.
 */
const SHIFT_S = AGO_S - (AGO_S % 3600 > 3500 ? 120 : 0) - Math.ceil(LOG.timeS.at(-1)!);
const UNITS = ['Pa', 'A'];
const NAMES = ['pressure', 'current'];

interface Described {
  summary: string;
  responses: object;
  parameters?: { name: string; schema: object }[];
}

let on: Awaited<ReturnType<typeof joined>>;
beforeAll(async () => {
  on = await joined([LOG.toml, OTHER]);
  for (let at = 0; at < LOG.timeS.length; at += 1000) {
    const records = LOG.timeS.slice(at, at + 1000).map((t, i) => ({
      n: NAMES[LOG.channel[at + i]!],
      u: UNITS[LOG.channel[at + i]!],
      t: t + SHIFT_S,
      v: LOG.value[at + i],
    }));
    const body = gzipSync(JSON.stringify(records));
    const response = await fetch(`${on.api}/wells/${ID}/readings`, {
      method: 'POST',
      headers: { 'content-type': 'application/senml+json', 'content-encoding': 'gzip' },
      body,
    });
    expect(await response.json()).toMatchObject({ duplicate: 0, refused: [] });
  }
}, 20_000);
afterAll(() => on.close());

describe('the HTTP interface', () => {
  it('gives the study of what it was sent, as JSON and as text', async () => {
    const { body } = await on.get(`wells/${ID}/study`);
    const valid = new Ajv2020({ strict: false }).compile(schema);
    expect(valid(body), JSON.stringify(valid.errors?.slice(0, 3))).toBe(true);
    expect(body.runs.length).toBeGreaterThan(3);
    const text = await on.get(`wells/${ID}/study.txt`);
    expect(text.type).toBe('text/plain; charset=utf-8');
    expect(text.body).toMatch(/^Case C/);
    expect(text.body).toMatch(/Day by day\n=+\n/);
  });

  it('gives logs that study reads back to the same result', async () => {
    const { body: live } = await on.get(`wells/${ID}/study`);
    for (const form of ['csv', 'senml']) {
      const { text } = await fetch(`${on.api}/wells/${ID}/log.${form}`).then(async (got) => ({
        text: await got.text(),
      }));
      const file = join(on.folder, `log.${form === 'csv' ? 'csv' : 'json'}`);
      writeFileSync(file, text);
      const study = await studyLogs(LOG.well, [file], { columns: {}, told: [] });
      expect(JSON.parse(JSON.stringify({ ...study, told: [] }))).toEqual({ ...live, told: [] });
    }
  });

  it('lists wells, how one stands, and the records of a span', async () => {
    const { body: study } = await on.get(`wells/${ID}/study`);
    const { body } = await on.get('wells');
    expect(body.wells).toMatchObject([
      { well: ID, name: 'Case C', state: 'alive', says: null, readings: LOG.timeS.length },
      { well: 'barn', state: 'alive', readings: 0, first: null },
    ]);
    await on.service.wells.advance();
    const { body: now } = await on.get(`wells/${ID}/now`);
    expect(now).toMatchObject({ well: ID, replay: null });
    expect(now.pressurePaGauge).toBeGreaterThan(100_000);
    const { body: all } = await on.get(`wells/${ID}/runs`);
    // Those on or not settled yet are not records; what is settled is as the study has it.
    expect(all.next).toBeNull();
    expect(all.runs.length).toBeGreaterThan(2);
    for (const run of all.runs)
      expect(study.runs.map((one: { start: string }) => one.start)).toContain(run.start);
    const [first, second] = all.runs;
    const { body: some } = await on.get(`wells/${ID}/runs?most=1`);
    expect(some).toEqual({ runs: [first], next: second.start });
    const { body: span } = await on.get(`wells/${ID}/runs?from=${second.start}`);
    expect(span.runs).toEqual(all.runs.slice(1));
    for (const kind of ['days', 'draws', 'findings'])
      expect((await on.get(`wells/${ID}/${kind}`)).body[kind]).toBeInstanceOf(Array);
    expect((await on.get(`wells/${ID}/days`)).body.days[0].date).toBe(study.days[0].date);
  });

  it('gives stretches of readings that count every one', async () => {
    const { body } = await on.get(`wells/${ID}/readings?channel=pressure&stretches=7`);
    expect(body.stretches).toHaveLength(7);
    // A day in seven: whole hours, counted from a full one, as the answer says.
    expect(body.stretchS).toBe(4 * 3600);
    expect([body.from, body.stretches[0].from]).toEqual(
      Array(2).fill(expect.stringMatching(/:00:00.000Z$/)),
    );
    expect(Date.parse(body.to) - Date.parse(body.from)).toBe(7 * 4 * 3600 * 1000);
    const counts = body.stretches.map(({ count }: { count: number }) => count);
    const pressures = LOG.value.filter((_, i) => LOG.channel[i] === 0);
    expect(counts.reduce((a: number, b: number) => a + b)).toBe(pressures.length);
    const least = Math.min(...body.stretches.map((one: { least: number }) => one.least));
    expect(least).toBe(Math.min(...pressures));
    const span = `from=${body.from}&to=${body.to}`;
    const { body: fine } = await on.get(`wells/${ID}/readings?channel=pressure&${span}`);
    expect(fine).toMatchObject({ from: body.from, to: body.to, stretchS: (28 * 3600) / 1500 });
    expect(fine.stretches).toHaveLength(1500);
  });

  it('answers every error with problem details that say what was found', async () => {
    const cases: [string, number, string, string][] = [
      ['nowhere', 404, 'no-such-address', '/nowhere'],
      ['wells/ridge/now', 404, 'unknown-well', `${ID}, barn`],
      ['wells/barn/study', 404, 'no-readings', 'barn'],
      [`wells/${ID}/runs?from=today`, 400, 'bad-request', "'from'"],
      [`wells/${ID}/runs?form=csv`, 400, 'bad-request', "'form'"],
      [
        `wells/${ID}/runs?from=2026-04-07T00:00:00Z&to=2026-04-06T00:00:00Z`,
        400,
        'bad-request',
        "'to'",
      ],
      [`wells/${ID}/readings?channel=steam`, 400, 'bad-request', '"steam"'],
      [`wells/${ID}/readings?channel=pressure&stretches=9999`, 400, 'bad-request', '9999'],
      [`wells/${'x'.repeat(200)}/now`, 400, 'bad-request', 'xxx'],
      ['wells/%ZZ/now', 400, 'bad-request', '%ZZ'],
    ];
    for (const [path, status, code, detail] of cases) {
      const { status: got, type, body } = await on.get(path);
      expect(type, path).toMatch(/^application\/problem\+json/);
      expect(body, path).toMatchObject({ type: 'about:blank', status, code });
      expect(got, path).toBe(status);
      expect(body.title.length, path).toBeGreaterThan(3);
      expect(body.detail, path).toContain(detail);
    }
  });

  it('hands readings on as they came, and tells what was of no use', async () => {
    const answer = await on.post('barn', '[{"n":"pressure","u":"psi","v":55}]');
    expect(answer).toEqual({
      status: 200,
      body: { accepted: 0, duplicate: 0, refused: [{ index: 0, code: 'wrong-unit' }] },
    });
    expect((await on.post('barn', '{')).body).toMatchObject({ status: 400, code: 'unreadable' });
    const plain = await on.post('barn', '[]', { 'content-type': 'application/json' });
    expect(plain.body).toMatchObject({ status: 415, code: 'media-type' });
    expect((await on.post('ridge', '[]')).body).toMatchObject({
      status: 404,
      code: 'unknown-well',
    });
    const none = await fetch(`${on.api}/wells/barn/readings`, { method: 'POST' });
    expect(await none.json()).toMatchObject({ status: 415, code: 'media-type' });
    const { body: refused } = await on.get('wells/barn/refused?most=1');
    expect(refused.refused).toMatchObject([{ index: 0, code: 'wrong-unit', device: '' }]);
    const { body: counters } = await on.get('counters');
    expect(counters.sinceStart).toMatchObject({ 'refused:wrong-unit': 1, 'media-type-refused': 2 });
    expect(counters.wells.barn).toEqual({
      accepted: 0,
      duplicate: 0,
      refused: { 'wrong-unit': 1 },
    });
    expect(counters.wells[ID].accepted).toBe(LOG.timeS.length);
  });

  it('describes itself as OpenAPI 3.1, each address with a summary and schemas', async () => {
    const { body } = await on.get('openapi.json');
    expect(body.openapi).toMatch(/^3\.1\./);
    const paths = Object.entries<Record<string, Described>>(body.paths);
    expect(paths.length).toBeGreaterThanOrEqual(15);
    const ajv = new Ajv2020({ strict: false, formats: { 'date-time': true } });
    let parameters = 0;
    for (const [path, methods] of paths) {
      for (const [method, described] of Object.entries(methods)) {
        expect(described.summary, `${method} ${path}`).toMatch(/\w/);
        expect(Object.keys(described.responses), path).toContain('200');
        for (const { name, schema } of described.parameters ?? []) {
          expect(() => ajv.compile(schema), `${path} ${name}`).not.toThrow();
          parameters += 1;
        }
      }
    }
    expect(parameters).toBeGreaterThan(15);
    const pages = ['service', 'alarms', 'book', 'page']
      .map((page) => textOf(`docs/${page}.md`))
      .join('\n');
    const printed = new Set(
      [...pages.matchAll(/^\| `(GET|POST|PUT) (\S+)`/gm)].map(
        ([, method = '', path = '']) => `${method} /api/v1${path}`,
      ),
    );
    const there = paths.flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`),
    );
    expect([...printed].toSorted()).toEqual(there.toSorted());
  });

  it('lives, and is ready while readings are taken and every well is alive', async () => {
    expect(await on.get('health')).toMatchObject({ status: 200, body: { lives: true } });
    const ready = await on.get('readiness');
    expect(ready).toMatchObject({ status: 200, body: { ready: true, why: null } });
    on.service.wells.putBroken('barn', 'line 3: expected a name');
    const not = await on.get('readiness');
    expect(not).toMatchObject({ status: 503, body: { ready: false, takesReadings: true } });
    expect(not.body.wells[1]).toEqual({
      well: 'barn',
      state: 'no-well-file',
      says: 'line 3: expected a name',
    });
    expect(await on.get('wells/barn/now')).toMatchObject({
      status: 409,
      body: { code: 'no-analysis' },
    });
  });

  it('ends a connection whose headers are larger than they may be', async () => {
    const big = { 'x-big': 'x'.repeat(20_000) };
    const status = await new Promise((resolve, reject) => {
      request(`${on.api}/health`, { headers: big }, (got) =>
        resolve([got.statusCode, got.headers['content-type']]),
      )
        .on('error', reject)
        .end();
    });
    expect(status).toEqual([431, 'application/problem+json']);
  });
});
