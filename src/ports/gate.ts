/**
 * What somebody may do: everything; look at everything; hand in readings of one well; nothing
 * but what anyone may.
 */
export type Role = 'owner' | 'reader' | 'device' | 'nobody';

/** Somebody who asks. */
export interface Who {
  role: Role;
  name: string;
  /** The one well that a device hands in readings of; null for others. */
  well: string | null;
  /** Whether it still is so: a key may be revoked and a session ended at any moment. */
  holds(): boolean;
}

/** A device that has a key. */
export interface LetIn {
  name: string;
  /** RFC 3339. */
  since: string;
}

/** What is asked of who is let in cannot be. */
export class GateRefuses extends Error {}

export interface SignedIn {
  who: Who;
  /** Of the new session; shown once. */
  token: string;
  expiresS: number;
}

/** Who is let in, and by which names this service goes. */
export interface Gate {
  /** The certificate that a phone or a device is to trust, PEM. */
  readonly authority: string;
  /** Whether a name or address, without its port, is one of ours. */
  isOurs(host: string): boolean;
  /** Who has this key; null where nobody does. */
  byKey(key: string): Who | null;
  /** Whose session it is; null where it is none, or over. */
  bySession(token: string): Who | null;
  /** The same answer, in the same time, for a wrong name and a wrong passphrase. */
  signIn(asked: {
    name: string;
    passphrase: string;
    address: string;
  }): Promise<SignedIn | 'wrong' | 'too-many-tries'>;
  signOut(token: string): void;
  /** Devices that have a key for a well. */
  devicesOf(well: string): LetIn[];
  /** A key for `<well>/<device>`, shown once; the old one is over. Throws GateRefuses. */
  letIn(device: string, by: string): string;
  /** The key of a device is over. Throws GateRefuses. */
  shutOut(device: string, by: string): void;
}
