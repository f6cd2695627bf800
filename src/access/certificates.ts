import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { isIP } from 'node:net';
import { join } from 'node:path';
import { AccessError } from './access-error.ts';
import { type Certified, newAuthority, newServerCertificate } from './certificate.ts';
import { hostNames, isOfHouse } from './host-names.ts';
import { writeSecret } from './secret-file.ts';

const AUTHORITY_CERT = 'authority.crt';
const AUTHORITY_KEY = 'authority.key';
const SERVER_CERT = 'server.crt';
const SERVER_KEY = 'server.key';

/** A certificate that has less left is made anew. */
const LEAST_LEFT_S = 60 * 86_400;

/**
 * An authority made anew, and a certificate by it: phones are to trust the new one then. Returns
 * the names that it vouches for beside all that are of a house.
 */
export async function makeCertificates(
  folder: string,
  given: readonly string[],
  nowS: number,
): Promise<string[]> {
  for (const name of given) checkHostName(name);
  const vouched = [...new Set([...hostNames(), ...given])].filter((name) => !isOfHouse(name));
  const authority = await newAuthority(vouched, nowS);
  write(folder, [AUTHORITY_CERT, AUTHORITY_KEY], authority);
  const server = await newServerCertificate(authority, namesFor(vouched), nowS);
  write(folder, [SERVER_CERT, SERVER_KEY], server);
  return vouched;
}

/** What a certificate is for: one name too many, and the whole of it would be refused. */
const namesFor = (vouched: readonly string[]): string[] => [
  ...new Set([...hostNames().filter(isOfHouse), ...vouched]),
];

/**
 * The certificate of the service, made anew where it ends soon, begins later (the clock was wrong),
 * or the machine has another address by now. `renewed` says whether it was.
 */
export async function serverCertificate(
  folder: string,
  vouched: readonly string[],
  nowS: number,
): Promise<Certified & { renewed: boolean }> {
  const authority = read(folder, [AUTHORITY_CERT, AUTHORITY_KEY]);
  const ends = endsS(authority.cert);
  if (nowS > ends)
    throw new AccessError(
      `${join(folder, AUTHORITY_CERT)}: expected it to be valid, found its end on ` +
        `${dayOf(ends)}: wellwright access new-certificates ${folder}`,
    );
  const present = read(folder, [SERVER_CERT, SERVER_KEY]);
  const names = namesFor(vouched);
  const isClockSet = nowS > beginsS(authority.cert);
  const isOfNow = beginsS(present.cert) <= nowS && endsS(present.cert) - nowS > LEAST_LEFT_S;
  const isGood = isOfNow && isFor(present.cert, names);
  if (isGood || !isClockSet) return { ...present, renewed: false };
  const made = await newServerCertificate(authority, names, nowS);
  write(folder, [SERVER_CERT, SERVER_KEY], made);
  return { ...made, renewed: true };
}

/** What a keeper compares before trusting the authority on a phone, and until when it is valid. */
export function shownAuthority(folder: string) {
  const file = join(folder, AUTHORITY_CERT);
  const { cert } = read(folder, [AUTHORITY_CERT, AUTHORITY_KEY]);
  const server = read(folder, [SERVER_CERT, SERVER_KEY]).cert;
  return {
    file,
    cert,
    fingerprint: new X509Certificate(cert).fingerprint256,
    until: dayOf(endsS(cert)),
    serverUntil: dayOf(endsS(server)),
    names: namesIn(server).map(plain),
  };
}

function isFor(cert: string, names: readonly string[]): boolean {
  const found = new Set(namesIn(cert).map(plain));
  return names.every((name) => found.has(plain(name)));
}

/** Names and addresses that a certificate is for, as Node prints them. */
const namesIn = (cert: string): string[] =>
  (new X509Certificate(cert).subjectAltName ?? '')
    .split(', ')
    .map((one) => one.replace(/^(DNS|IP Address):/, ''));

/** One writing of an address (RFC 5952). */
const plain = (name: string): string =>
  isIP(name) === 6 ? new URL(`http://[${name}]`).hostname.slice(1, -1) : name.toLowerCase();

function checkHostName(name: string): void {
  if (isIP(name) !== 0 || /^(?=.{1,253}$)([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.|$))+$/.test(name))
    return;
  throw new AccessError(`--name: expected a host name or an address, found "${name}"`);
}

const endsS = (cert: string): number => Date.parse(new X509Certificate(cert).validTo) / 1000;
const beginsS = (cert: string): number => Date.parse(new X509Certificate(cert).validFrom) / 1000;
const dayOf = (timeS: number): string => new Date(timeS * 1000).toISOString().slice(0, 10);

function read(folder: string, [cert = '', key = '']: string[]): Certified {
  const text = (name: string) => {
    const file = join(folder, name);
    try {
      return readFileSync(file, 'utf8');
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      throw new AccessError(
        `${file}: expected to read it, found ${code}: is the folder yours? If it is lost: ` +
          `wellwright access new-certificates ${folder}`,
      );
    }
  };
  return { cert: text(cert), key: text(key) };
}

function write(folder: string, [cert = '', key = '']: string[], made: Certified): void {
  writeSecret(join(folder, key), made.key);
  writeSecret(join(folder, cert), made.cert);
}
