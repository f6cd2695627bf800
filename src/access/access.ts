import { accessSync, constants, unwatchFile, watchFile } from 'node:fs';
import type { Gate, LetIn, SignedIn, Who } from '../ports/gate.ts';
import { AccessError } from './access-error.ts';
import { Attempts } from './attempts.ts';
import { serverCertificate, shownAuthority } from './certificates.ts';
import { letInByKey, shutOut } from './devices.ts';
import { isSecret, partsOf } from './key.ts';
import { isRight, NOBODYS } from './passphrase.ts';
import { type Entries, readEntries, registerFile } from './register.ts';
import { type Session, Sessions } from './sessions.ts';

const LOOK_AT_FILE_MS = 1000;
const LOOK_AT_CERTIFICATE_MS = 86_400_000;

export interface AccessOptions {
  folder: string;
  clock: { nowS(): number };
  /** Plain sentences for the log: told, or worth a look. */
  say(level: 'told' | 'trouble', says: string): void;
}

/** What TLS is spoken with. */
export interface Tls {
  cert: string;
  key: string;
}

/** Who is let in, as the folder of a keeper has it; an edited one is in force within a second. */
export class Access implements Gate {
  readonly #options: AccessOptions;
  readonly #sessions: Sessions;
  readonly #attempts = new Attempts(() => performance.now() / 1000);
  #entries: Entries;
  #names: ReadonlySet<string> = new Set();
  #tls: Tls;
  #timer: NodeJS.Timeout | undefined;
  #underWay: Promise<unknown> = Promise.resolve();
  readonly #onTls: ((tls: Tls) => void)[] = [];

  private constructor(options: AccessOptions, entries: Entries, tls: Tls) {
    this.#options = options;
    this.#entries = entries;
    this.#tls = tls;
    this.#sessions = new Sessions(options.folder);
    this.#names = new Set(shownAuthority(options.folder).names);
  }

  /** Throws AccessError where the folder cannot be used. */
  static async open(options: AccessOptions): Promise<Access> {
    const { folder, clock } = options;
    const entries = readEntries(folder);
    checkWritable(folder);
    const { cert, key, renewed } = await serverCertificate(folder, entries.names, clock.nowS());
    const access = new Access(options, entries, { cert, key });
    if (renewed) access.#sayRenewed();
    watchFile(
      registerFile(folder),
      { interval: LOOK_AT_FILE_MS, persistent: false },
      () => void access.#readAnew(),
    );
    access.#timer = setInterval(() => void access.#renew(), LOOK_AT_CERTIFICATE_MS).unref();
    return access;
  }

  get tls(): Tls {
    return this.#tls;
  }

  /** The certificate that a phone is to trust, PEM. */
  get authority(): string {
    return shownAuthority(this.#options.folder).cert;
  }

  /** Names and addresses that the certificate is for. */
  get names(): string[] {
    return [...this.#names];
  }

  /** Told each time the certificate is made anew. */
  onTls(told: (tls: Tls) => void): void {
    this.#onTls.push(told);
  }

  /** Devices let in of wells that are none of these: a name mistyped, or a well no longer here. */
  devicesOfOthers(wells: readonly string[]): string[] {
    return this.#entries.keys
      .filter(({ well }) => well !== null && !wells.includes(well))
      .map(({ name }) => name);
  }

  isOurs(host: string): boolean {
    return this.#names.has(host.toLowerCase());
  }

  byKey(key: string): Who | null {
    const parts = partsOf(key);
    if (parts === null) return null;
    const found = this.#entries.keys.find(({ id }) => id === parts.id);
    if (found === undefined || !isSecret(parts.secret, found.hash)) return null;
    const { id, hash, name, well } = found;
    const holds = () => this.#entries.keys.some((one) => one.id === id && one.hash === hash);
    return { role: well === null ? 'reader' : 'device', name, well, holds };
  }

  bySession(token: string): Who | null {
    const session = this.#sessions.of(token);
    return session === null ? null : this.#whoHas(session);
  }

  async signIn(asked: {
    name: string;
    passphrase: string;
    address: string;
  }): Promise<SignedIn | 'wrong' | 'too-many-tries'> {
    const { name, passphrase, address } = asked;
    if (!this.#attempts.take(address)) return 'too-many-tries';
    const person = this.#entries.people.find((one) => one.name === name);
    const kept = person?.passphrase ?? NOBODYS;
    // One after the other: each takes much memory, on purpose.
    const right = this.#underWay.then(() => isRight(passphrase, kept));
    this.#underWay = right.catch(() => undefined);
    const { say, clock } = this.#options;
    if (!(await right) || person === undefined) {
      say('trouble', `a sign-in from ${address} was refused`);
      return 'wrong';
    }
    this.#attempts.succeeded(address);
    const of = { name, salt: kept.salt };
    const { token, session } = this.#sessions.open(of, clock.nowS());
    const who = this.#whoHas(session);
    if (who === null) return 'wrong';
    say('told', `${name} has signed in from ${address}`);
    return { who, token, expiresS: session.expiresS };
  }

  signOut(token: string): void {
    this.#sessions.close(token);
  }

  devicesOf(well: string): LetIn[] {
    return this.#entries.keys
      .filter((key) => key.well === well)
      .map(({ name, since }) => ({ name, since }));
  }

  letIn(device: string, by: string): string {
    const { folder, clock, say } = this.#options;
    const key = letInByKey(folder, device, clock.nowS());
    this.#entries = readEntries(folder);
    say('told', `${by} has made a key for ${device}`);
    return key;
  }

  shutOut(device: string, by: string): void {
    const { folder, say } = this.#options;
    shutOut(folder, device);
    this.#entries = readEntries(folder);
    say('told', `${by} has shut out ${device}`);
  }

  close(): void {
    unwatchFile(registerFile(this.#options.folder));
    clearInterval(this.#timer);
  }

  #whoHas(session: Session): Who | null {
    const person = () =>
      this.#sessions.has(session) && session.expiresS > this.#options.clock.nowS()
        ? this.#entries.people.find(
            ({ name, passphrase }) => name === session.name && passphrase.salt === session.salt,
          )
        : undefined;
    const found = person();
    if (found === undefined) return null;
    const { name, role } = found;
    return { role, name, well: null, holds: () => person() !== undefined };
  }

  /** One that cannot be used leaves the last one in force, and says so. */
  async #readAnew(): Promise<void> {
    try {
      this.#entries = readEntries(this.#options.folder);
      await this.#renew();
    } catch (error) {
      const says = `${(error as Error).message}; what was read before stays in force`;
      this.#options.say('trouble', says);
    }
  }

  async #renew(): Promise<void> {
    const { folder, clock, say } = this.#options;
    try {
      const { cert, key } = await serverCertificate(folder, this.#entries.names, clock.nowS());
      if (cert === this.#tls.cert) return;
      this.#tls = { cert, key };
      this.#names = new Set(shownAuthority(folder).names);
      this.#sayRenewed();
      for (const told of this.#onTls) told(this.#tls);
    } catch (error) {
      say('trouble', (error as Error).message);
    }
  }

  #sayRenewed(): void {
    const { serverUntil } = shownAuthority(this.#options.folder);
    this.#options.say('told', `the certificate was made anew and is valid until ${serverUntil}`);
  }
}

/** Sessions are kept there, and a certificate that is made anew. */
function checkWritable(folder: string): void {
  try {
    accessSync(folder, constants.W_OK);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new AccessError(`${folder}: expected a folder to write sessions in, found ${code}`);
  }
}
