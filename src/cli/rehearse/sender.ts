import { UsageError } from '../usage.ts';

/** The way packs take to a service. */
export interface Sender {
  /** Packs that may be under way at once. */
  readonly atOnce: number;
  /** What the service answered but did not take. */
  readonly refused: number;
  /**
   * Resolves when the service has answered for the pack, which it does when the pack is safe there;
   * tries again for as long as time may help. Rejects with UsageError where it will not.
   */
  send(pack: string): Promise<void>;
  close(): Promise<void>;
}

/** A service's wish for faster readings while a test is on. */
export interface Please {
  intervalS: number;
  forS: number;
}

export interface Credentials {
  user: string;
  password: string;
}

/** From the environment: a command line is seen by whoever lists the processes. */
export function credentialsFrom(environment: NodeJS.ProcessEnv): Credentials | null {
  const user = environment.WELLWRIGHT_USER;
  const password = environment.WELLWRIGHT_PASSWORD;
  if (user === undefined && password === undefined) return null;
  if (user !== undefined && password !== undefined) return { user, password };
  throw new UsageError(
    'expected WELLWRIGHT_USER and WELLWRIGHT_PASSWORD in the environment, found one of the two',
  );
}

/** Says once that trouble began, and once that it is over. */
export class TroubleTeller {
  readonly #say: (line: string) => void;
  #told = '';

  constructor(say: (line: string) => void) {
    this.#say = say;
  }

  began(what: string): void {
    if (this.#told === what) return;
    this.#told = what;
    this.#say(`${what}; what is not acknowledged is kept and sent again`);
  }

  over(where: string): void {
    if (this.#told === '') return;
    this.#told = '';
    this.#say(`${where}: answers again`);
  }
}
