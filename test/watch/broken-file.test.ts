import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, it } from 'vitest';
import { until } from './until.ts';
import { type Child, startWatch } from './watch-child.ts';

const folder = mkdtempSync(join(tmpdir(), 'wellwright-broken-'));
const BARN = join(folder, 'barn.well.toml');
const PORTS = ['--http', '0', '--mqtt', '0', '--well', folder];
afterAll(() => rmSync(folder, { recursive: true }));

let child: Child | null = null;
afterEach(async () => {
  await child?.kill();
  child = null;
});

/** The service anew on the same folder, with the barn's file as it is given. */
async function startedWith(barn: string) {
  writeFileSync(join(folder, 'ridge.well.toml'), 'name = "Ridge house"\nid = "ridge"\n');
  writeFileSync(BARN, barn);
  await child?.stop();
  child = await startWatch(['watch', ...PORTS]);
  const api = `http://127.0.0.1:${child.ports.http}/api/v1`;
  const ask = async (method: string, path: string, type: string, body: string | null) => {
    const answer = await fetch(`${api}/${path}`, {
      method,
      body,
      headers: body === null ? {} : { 'content-type': type },
    });
    // biome-ignore lint/suspicious/noExplicitAny: as the service answers.
    return { status: answer.status, body: (await answer.json()) as any };
  };
  return {
    running: child,
    get: (path: string) => ask('GET', path, '', null),
    put: (path: string, asked: object) =>
      ask('PUT', path, 'application/json', JSON.stringify(asked)),
    send: (well: string, value: number) =>
      ask(
        'POST',
        `wells/${well}/readings`,
        'application/senml+json',
        JSON.stringify([{ n: 'pressure', u: 'Pa', v: value }]),
      ),
  };
}

const BROKEN = 'name = "Barn"\n[tank]\nvolume = "44 psi"\n[[\n';

describe('a well file that cannot be used when the service starts', () => {
  it('stops its own well alone; readings are kept, and it is mended over HTTP', async () => {
    const on = await startedWith(BROKEN);
    expect(on.running.out()).toMatch(/barn waits, its readings are kept\. Its file:\n.*:3:10: /);
    expect((await on.send('ridge', 379_000)).status).toBe(200);
    expect((await on.send('barn', 379_000)).status).toBe(200);
    expect((await on.get('wells/ridge/now')).status).toBe(200);
    expect((await on.get('wells/barn/now')).body).toMatchObject({ code: 'no-analysis' });
    const { wells } = (await on.get('wells')).body;
    expect(wells).toMatchObject([
      { well: 'ridge', state: 'alive', readings: 1 },
      {
        well: 'barn',
        state: 'no-well-file',
        readings: 1,
        says: expect.stringMatching(/:3:10: tank\.volume/),
      },
    ]);
    expect((await on.get('readiness')).status).toBe(503);

    const { hash, text, issues } = (await on.get('wells/barn/file-text')).body;
    expect(text).toBe(BROKEN);
    expect(issues.map(({ line }: { line: number }) => line)).toEqual([3, 4]);
    const put = (whole: string) =>
      on.put('wells/barn/file-text', { by: 'Keeper', basedOn: hash, text: whole });
    expect((await put(text.replace('psi', 'gal'))).body.code).toBe('file-errors');
    const whole = 'name = "Barn"\n[tank]\nvolume = "44 gal"\n';
    expect((await put(whole)).status).toBe(200);
    expect(readFileSync(BARN, 'utf8')).toBe(whole);
    // What came while it could not be used is read now.
    const last = async () => (await on.get('wells/barn/now')).body.lastReading;
    await expect.poll(last, { timeout: 5000 }).not.toBeNull();
    expect((await on.get('wells/barn/alarms')).body.standing).toEqual([]);
    expect((await on.get('readiness')).status).toBe(200);
    const { entries } = (await on.get('wells/barn/book')).body;
    expect(entries.at(-1).act).toMatchObject({ what: 'edited', by: 'Keeper' });
  });

  it('lives once it was mended by hand, and keeps what came before', async () => {
    const on = await startedWith('name = \nid = "barn"\n');
    expect((await on.send('barn', 380_000)).status).toBe(200);
    writeFileSync(BARN, 'name = "Barn" \nid = "barn"\nunits = 7\n');
    await until(() => on.running.err().includes('the well waits for it'));
    writeFileSync(BARN, 'name = "Barn again"\nid = "barn"\n');
    await until(() => on.running.err().includes('has changed and is in force'));
    const { wells } = (await on.get('wells')).body;
    expect(wells[1]).toMatchObject({ well: 'barn', name: 'Barn again', state: 'alive' });
    expect(wells[1].readings).toBe(2);
  });

  it('goes by the name of the file where no id can be read in it', async () => {
    const on = await startedWith('= = =\n');
    const { wells } = (await on.get('wells')).body;
    expect(wells.map(({ well }: { well: string }) => well)).toEqual(['ridge', 'barn']);
  });
});
