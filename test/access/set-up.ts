import { mkdtempSync, rmSync } from 'node:fs';
import { Agent, request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeCertificates } from '../../src/access/certificates.ts';
import {
  type Entries,
  OWNER,
  withKey,
  withPerson,
  writeEntries,
} from '../../src/access/register.ts';

export const OWNERS = 'the old barn has a blue door';
export const READERS = 'nobody counts the fence posts';

/** A folder of access as a keeper makes it: an owner, a reader, a program and two devices. */
export async function accessFolder(more: string[] = []) {
  const folder = mkdtempSync(join(tmpdir(), 'wellwright-access-'));
  const nowS = Date.now() / 1000;
  const names = await makeCertificates(folder, [], nowS);
  let entries: Entries = { version: 1, names, people: [], keys: [] };
  entries = await withPerson(entries, OWNER, { passphrase: OWNERS, nowS });
  entries = await withPerson(entries, 'family', { passphrase: READERS, nowS });
  const keys: Record<string, string> = {};
  for (const name of ['ridge/tee', 'barn/tee', 'display', ...more]) {
    const made = withKey(entries, name, nowS);
    entries = made.entries;
    keys[name] = made.key;
  }
  writeEntries(folder, entries);
  return {
    folder,
    keys,
    entries,
    ca: join(folder, 'authority.crt'),
    remove: () => rmSync(folder, { recursive: true }),
  };
}

export interface Told {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  text: string;
}

const agent = new Agent({ keepAlive: true });

/** Asks over TLS by our own authority, as what is no browser does. */
export function ask(
  url: string,
  options: {
    ca: string;
    method?: string;
    headers?: Record<string, string>;
    body?: string;
    servername?: string;
    /** The address that it asks from. */
    localAddress?: string;
  },
): Promise<Told> {
  const { ca, method = 'GET', headers = {}, body, servername, localAddress } = options;
  const way = {
    ...(servername !== undefined && { servername }),
    ...(localAddress !== undefined && { localAddress }),
  };
  return new Promise((resolve, reject) => {
    const asking = request(url, { ca, method, headers, agent, ...way }, (response) => {
      let text = '';
      // A stream of events has no end: its head is the answer.
      const told = () => {
        resolve({ status: response.statusCode ?? 0, headers: response.headers, text });
        asking.destroy();
      };
      if (response.headers['content-type'] === 'text/event-stream') return told();
      response.on('data', (piece) => {
        text += piece;
      });
      response.on('end', told);
    });
    asking.on('error', reject);
    asking.end(body);
  });
}

/** Listens to events over TLS until the other end is through. */
export function listen(
  url: string,
  options: { ca: string; headers: Record<string, string> },
  ended: () => void,
): void {
  request(url, { ...options, agent: false }, (response) =>
    response.resume().on('end', ended),
  ).end();
}

export const json = { 'content-type': 'application/json' };
export const senml = { 'content-type': 'application/senml+json' };
export const bearer = (key = '') => ({ authorization: `Bearer ${key}` });
export const basic = (name: string, key = '') => ({
  authorization: `Basic ${Buffer.from(`${name}:${key}`).toString('base64')}`,
});
export const READING = '[{"n":"pressure","u":"Pa","v":379000}]';

/** The cookie of an answer, as a browser sends it back. */
export const cookieOf = ({ headers }: Told): string =>
  String(headers['set-cookie'] ?? '').split(';')[0] ?? '';
