import { execFileSync, spawnSync } from 'node:child_process';
import { X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Access } from '../../src/access/access.ts';
import { newAuthority, newServerCertificate } from '../../src/access/certificate.ts';
import { makeCertificates } from '../../src/access/certificates.ts';
import { readEntries, writeEntries } from '../../src/access/register.ts';
import { run } from '../support/mosquitto.ts';
import { joined } from '../watch/joined.ts';
import { until } from '../watch/until.ts';
import * as t from './set-up.ts';

const DAY_S = 86_400;
let access: Awaited<ReturnType<typeof t.accessFolder>>;
let folder: string;
beforeAll(async () => {
  access = await t.accessFolder();
  folder = mkdtempSync(join(tmpdir(), 'wellwright-certificates-'));
}, 30_000);
afterAll(() => {
  access.remove();
  rmSync(folder, { recursive: true });
});

/** What OpenSSL says of a certificate by an authority, strictly by RFC 5280. */
function verified(authority: string, cert: string, atS = Date.now() / 1000): string {
  const [by, of] = [join(folder, 'by.crt'), join(folder, 'of.crt')];
  writeFileSync(by, authority);
  writeFileSync(of, cert);
  const args = ['verify', '-x509_strict', '-attime', String(Math.floor(atS)), '-CAfile', by, of];
  const { stdout, stderr } = spawnSync('openssl', args, { encoding: 'utf8' });
  return `${stdout}${stderr}`;
}

describe('the authority of a house', () => {
  it('vouches for addresses and names of a house, and for those given', async () => {
    const authority = await newAuthority(['well.example.org', '203.0.113.7'], Date.now() / 1000);
    const good = ['localhost', 'pi.local', 'pi.home.arpa', 'pi.lan', '10.1.2.3', '172.31.0.1'];
    const more = ['192.168.1.10', 'fd12:3456::7', '::1', 'well.example.org', '203.0.113.7'];
    const names = [...good, ...more];
    const { cert } = await newServerCertificate(authority, names, Date.now() / 1000);
    expect(verified(authority.cert, cert)).toMatch(/: OK\n$/);
  });

  it('vouches for nothing else, even where its key was stolen', async () => {
    const authority = await newAuthority([], Date.now() / 1000);
    const wrong = ['bank.example', '203.0.113.7', '172.32.0.1', '192.169.0.1', '2001:db8::1'];
    for (const name of [...wrong, 'local.example', 'xlan']) {
      const { cert } = await newServerCertificate(authority, [name], Date.now() / 1000);
      expect(verified(authority.cert, cert), name).toMatch(/permitted subtree violation/);
    }
  });

  it('vouches for no other authority', () => {
    const text = execFileSync('openssl', ['x509', '-in', access.ca, '-noout', '-text']).toString();
    expect(text).toMatch(/Basic Constraints: critical\n *CA:TRUE, pathlen:0/);
    expect(text).toMatch(/Key Usage: critical\n *Certificate Sign\n/);
    expect(text).toMatch(/Name Constraints: critical/);
  });
});

describe('the certificate of the service', () => {
  it('is for this machine, for a server alone, and no longer than phones take it', () => {
    const cert = new X509Certificate(readFileSync(join(access.folder, 'server.crt')));
    for (const name of ['localhost', hostname().toLowerCase()])
      expect(cert.checkHost(name), name).toBe(name);
    expect(cert.checkIP('127.0.0.1')).toBe('127.0.0.1');
    expect(cert.ca).toBe(false);
    expect(cert.keyUsage).toEqual(['1.3.6.1.5.5.7.3.1']);
    const days = (Date.parse(cert.validTo) - Date.parse(cert.validFrom)) / 1000 / DAY_S;
    expect(days).toBeLessThanOrEqual(398);
  });

  it('is made anew before it ends, by the same authority, and said to be', async () => {
    const said: string[] = [];
    const at = async (days: number) => {
      const nowS = Date.now() / 1000 + days * DAY_S;
      const say = (_: string, says: string) => void said.push(says);
      const open = await Access.open({ folder: access.folder, clock: { nowS: () => nowS }, say });
      open.close();
      return { cert: open.tls.cert, nowS };
    };
    const first = await at(0);
    expect((await at(330)).cert).toBe(first.cert);
    expect(said).toEqual([]);
    const renewed = await at(345);
    expect(renewed.cert).not.toBe(first.cert);
    expect(said).toEqual([expect.stringMatching(/^the certificate was made anew .* until 20/)]);
    const authority = readFileSync(access.ca, 'utf8');
    expect(verified(authority, renewed.cert, renewed.nowS)).toMatch(/: OK\n$/);
    // A clock that is not set yet makes none of long ago.
    expect((await at(-20_000)).cert).toBe(renewed.cert);
    await expect(at(3660)).rejects.toThrow(
      /authority\.crt: expected it to be valid, found its end/,
    );
  });
});

describe('TLS', () => {
  it('is 1.2 or newer on both ports, by the authority, and all there is', async () => {
    const on = await joined(['name = "Ridge"\n'], { accessFolder: access.folder });
    const { http, mqtt } = on.service.ports;
    try {
      for (const port of [http, mqtt]) {
        const hello = (...more: string[]) =>
          run('openssl', [
            ...['s_client', '-connect', `127.0.0.1:${port}`, '-verify_return_error', '-brief'],
            ...['-verify_ip', '127.0.0.1', '-cipher', 'ALL:@SECLEVEL=0', ...more],
          ]);
        const trusting = ['-CAfile', access.ca];
        for (const [version, name] of Object.entries({ tls1_2: 'TLSv1.2', tls1_3: 'TLSv1.3' })) {
          const { code, out } = await hello(`-${version}`, ...trusting);
          expect([code, out], version).toEqual([0, expect.stringContaining('Verification: OK')]);
          expect(out).toContain(`Protocol version: ${name}`);
        }
        for (const version of ['tls1', 'tls1_1'])
          expect((await hello(`-${version}`, ...trusting)).code, version).not.toBe(0);
        expect((await hello()).out).toMatch(/verify error|unable to get local issuer/);
      }
      const plain = on.api.replace('https', 'http');
      await expect(fetch(`${plain}/health`)).rejects.toThrow();
      const told = await t.ask(`${on.api}/health`, { ca: readFileSync(access.ca, 'utf8') });
      expect(told.status).toBe(200);
    } finally {
      await on.close();
    }
  });

  it('says where it listens at an address that its certificate is not for', async () => {
    const at = { accessFolder: access.folder, host: '127.0.0.2' };
    const on = await joined(['name = "Ridge"\n'], at);
    await on.close();
    const says = on.said.map((line) => line.says);
    expect(says).toContain('barn/tee is let in, and its well is none of those of this service');
    expect(says).toContainEqual(
      expect.stringMatching(/the certificate is not for 127\.0\.0\.2.*--name 127\.0\.0\.2/),
    );
  });

  it('goes by certificates made anew while the service runs', async () => {
    const on = await joined(['name = "Ridge"\n'], { accessFolder: access.folder });
    const before = on.service.access?.tls.cert;
    const old = readFileSync(access.ca, 'utf8');
    try {
      const names = await makeCertificates(access.folder, ['well.example.org'], Date.now() / 1000);
      writeEntries(access.folder, { ...readEntries(access.folder), names });
      await until(() => on.service.access?.tls.cert !== before);
      for (const port of [on.service.ports.http, on.service.ports.mqtt]) {
        const { code, out } = await run('openssl', [
          ...['s_client', '-connect', `127.0.0.1:${port}`, '-verify_return_error', '-brief'],
          ...['-verify_hostname', 'well.example.org', '-CAfile', access.ca],
        ]);
        expect([code, out]).toEqual([0, expect.stringContaining('Verification: OK')]);
      }
      await expect(t.ask(`${on.api}/health`, { ca: old })).rejects.toThrow();
      expect(on.service.access?.isOurs('well.example.org')).toBe(true);
    } finally {
      await on.close();
    }
  });
});
