import { lastWord, toReading } from '../../messages/senml/readings.ts';
import { newBase, resolveRecord, type SenmlRecord } from '../../messages/senml/resolve.ts';
import { CHANNELS, type Channel, type SetAsideReason } from '../../model/reading.ts';
import { Collector, NO_CHANNEL, type Tally } from './collector.ts';

/** A longer record is not a record of readings; it is set aside. */
const LONGEST_RECORD = 65_536;
const QUOTE = 34;
const BACKSLASH = 92;

/**
 * Reads SenML JSON handed over in pieces cut anywhere: one pack, or packs one after another.
 * Only one record is held at a time.
 */
export class SenmlLog {
  readonly out = new Collector();
  readonly headings: string[] = [];
  readonly #name: string;
  readonly #tally: Tally;
  readonly #decode = new TextDecoder();
  readonly #record = new Uint8Array(LONGEST_RECORD);
  #length = 0;
  #depth = 0;
  #inText = false;
  #escaped = false;
  #line = 1;
  #recordLine = 1;
  #base = newBase();
  #refusedPack = false;

  constructor(name: string, tally: Tally) {
    this.#name = name;
    this.#tally = tally;
  }

  push(piece: Uint8Array): void {
    for (const byte of piece) this.#byte(byte);
  }

  finish(): void {
    if (this.#depth > 0) this.#aside('cut-line', NO_CHANNEL);
    this.#depth = 0;
  }

  told(): string[] {
    return ['SenML records (RFC 8428)'];
  }

  /** Braces make records; a bracket outside of them begins a pack. */
  #byte(byte: number): void {
    if (byte === 10) this.#line++;
    if (this.#depth === 0) {
      if (byte === 0x5b) this.#newPack();
      if (byte !== 0x7b) return;
      this.#length = 0;
      this.#recordLine = this.#line;
    }
    if (this.#length < LONGEST_RECORD) this.#record[this.#length] = byte;
    this.#length++;
    if (this.#inText) {
      if (this.#escaped) this.#escaped = false;
      else if (byte === BACKSLASH) this.#escaped = true;
      else if (byte === QUOTE) this.#inText = false;
    } else if (byte === QUOTE) this.#inText = true;
    else if (byte === 0x7b || byte === 0x5b) this.#depth++;
    else if (byte === 0x7d || byte === 0x5d) {
      this.#depth--;
      if (this.#depth === 0) this.#take();
    }
  }

  #newPack(): void {
    this.#base = newBase();
    this.#refusedPack = false;
  }

  #take(): void {
    const json = this.#parsed();
    const resolved =
      json === undefined ? { issue: 'not-a-record' } : resolveRecord(this.#base, json);
    if (resolved === null) return;
    if ('record' in resolved) {
      this.#takeRecord(resolved.record);
      return;
    }
    if (resolved.issue === 'version-not-known') this.#refusedPack = true;
    this.#aside('unreadable-value', NO_CHANNEL);
  }

  #parsed(): unknown {
    if (this.#length > LONGEST_RECORD) return undefined;
    try {
      return JSON.parse(this.#decode.decode(this.#record.subarray(0, this.#length)));
    } catch {
      return undefined;
    }
  }

  #takeRecord(record: SenmlRecord): void {
    const named = CHANNELS.indexOf(lastWord(record.name) as Channel);
    const channel = named < 0 ? NO_CHANNEL : named;
    const reading = toReading(record);
    if (this.#refusedPack) this.#aside('unreadable-value', channel);
    else if ('wrong' in reading) this.#aside(reading.wrong, channel);
    else if (reading.relative) this.#aside('no-anchor', channel);
    else {
      this.#tally.offered[channel]! += 1;
      this.#tally.used++;
      this.out.add(reading.timeS, channel, reading.value);
    }
  }

  #aside(reason: SetAsideReason, channel: number): void {
    this.#tally.offered[channel]! += 1;
    this.#tally.aside(reason, `${this.#name}:${this.#recordLine}`);
  }
}
