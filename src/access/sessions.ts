import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { hashed, newSecret } from './key.ts';
import { ACCESS_LIMITS } from './limits.ts';
import { writeSecret } from './secret-file.ts';

export interface Session {
  /** Of its token, which nobody has but the browser. */
  hash: string;
  name: string;
  /** Of the passphrase it was opened with: over once that is another one. */
  salt: string;
  expiresS: number;
}

const FILE = 'sessions.json';

/** Who has signed in, kept so that a restart of the service ends nobody's session. */
export class Sessions {
  readonly #file: string;
  readonly #of = new Map<string, Session>();

  constructor(folder: string) {
    this.#file = join(folder, FILE);
    for (const one of kept(this.#file)) this.#of.set(one.hash, one);
  }

  /** A session under a token never seen before; the oldest make room. */
  open(of: { name: string; salt: string }, nowS: number): { token: string; session: Session } {
    const token = newSecret();
    const session = { ...of, hash: hashed(token), expiresS: nowS + ACCESS_LIMITS.sessionS };
    for (const { hash, expiresS } of this.#of.values()) if (expiresS <= nowS) this.#of.delete(hash);
    this.#of.set(session.hash, session);
    for (const hash of this.#of.keys())
      if (this.#of.size > ACCESS_LIMITS.sessions) this.#of.delete(hash);
    this.#write();
    return { token, session };
  }

  /** Found by the hash of the token: how long that takes tells nothing of a token. */
  of(token: string): Session | null {
    return this.#of.get(hashed(token)) ?? null;
  }

  has(session: Session): boolean {
    return this.#of.has(session.hash);
  }

  close(token: string): void {
    if (this.#of.delete(hashed(token))) this.#write();
  }

  #write(): void {
    writeSecret(this.#file, `${JSON.stringify([...this.#of.values()])}\n`);
  }
}

/** Where the file cannot be used everybody signs in again. */
function kept(file: string): Session[] {
  if (!existsSync(file)) return [];
  try {
    const sessions: unknown = JSON.parse(readFileSync(file, 'utf8'));
    return Array.isArray(sessions) ? (sessions as Session[]) : [];
  } catch {
    return [];
  }
}
