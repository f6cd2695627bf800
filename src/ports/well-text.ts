/** A text and what tells it from every other: SHA-256 of its bytes, in hexadecimal. */
export interface TextRead {
  text: string;
  hash: string;
}

/** Thrown where another text stands there than the one that a change is based on. */
export class TextChanged extends Error {
  readonly hash: string;
  constructor(hash: string) {
    super('the text has changed meanwhile');
    this.hash = hash;
  }
}

/** Thrown where the text cannot be read or written: why, in words. */
export class TextRefuses extends Error {}

/** The text of a well file, where the keeper has it. */
export interface WellText {
  /** Where it is, as people are told. */
  readonly name: string;
  /** Throws TextRefuses. */
  read(): Promise<TextRead>;
  hashOf(text: string): string;
  /**
   * Puts a text in place of the one whose hash is `basedOn`: all of it or nothing, durably.
   * Throws TextChanged, TextRefuses.
   */
  write(text: string, basedOn: string): Promise<TextRead>;
}
