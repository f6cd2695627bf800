import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Line } from '../../src/cli/watch/say.ts';
import { Service, type ServiceOptions } from '../../src/cli/watch/service.ts';
import { wellOf } from '../support/rehearsed-log.ts';

/** The whole service in this process on free ports, in a folder of its own. */
export async function joined(tomls: string[], more: Partial<ServiceOptions> = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-joined-'));
  const said: Line[] = [];
  const wells = tomls.map((toml, i) => {
    const file = join(folder, `well-${i}.toml`);
    writeFileSync(file, toml);
    return { file, well: wellOf(toml), told: [], history: [] as string[] };
  });
  const options: ServiceOptions = {
    ...{ wells, folder },
    store: join(folder, 'wellwright.sqlite'),
    host: '127.0.0.1',
    http: 0,
    mqtt: 0,
    orFree: false,
    broker: null,
    topics: [],
    say: (line) => said.push(line),
    ...more,
  };
  const service = await Service.open(options).catch((error: unknown) => {
    rmSync(folder, { recursive: true });
    throw error;
  });
  const scheme = options.accessFolder === undefined ? 'http' : 'https';
  const api = `${scheme}://127.0.0.1:${service.ports.http}/api/v1`;
  return {
    folder,
    said,
    service,
    api,
    /** An answer, and what of its kind it is. */
    async get(path: string) {
      const response = await fetch(`${api}/${path}`);
      const type = response.headers.get('content-type') ?? '';
      const text = await response.text();
      const body = type.includes('json') ? JSON.parse(text) : text;
      return { status: response.status, type, body };
    },
    async post(wellId: string, body: string, headers: Record<string, string> = {}) {
      const response = await fetch(`${api}/wells/${wellId}/readings`, {
        method: 'POST',
        headers: { 'content-type': 'application/senml+json', ...headers },
        body,
      });
      return { status: response.status, body: await response.json() };
    },
    async close() {
      await service.close();
      rmSync(folder, { recursive: true });
    },
  };
}
