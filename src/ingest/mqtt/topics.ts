import type { Arrived } from '../../ports/reading-source.ts';
import type { PackReader } from '../pack-reader.ts';
import { type PlainReader, type PlainTopic, plainReaders, takesTopic } from './plain-topics.ts';

const READINGS = /^wells\/([a-z0-9-]{1,32})\/readings$/;

/** Control, wildcards where something is published, and what stands for bytes that are no UTF-8. */
const NO_NAME = /[\p{Cc}#+\ufffd]/u;

/** What a topic and its payload mean, on our own broker and on another. */
export class Topics {
  readonly #reader: PackReader;
  readonly #plain: PlainReader[];

  constructor(reader: PackReader, plain: readonly PlainTopic[]) {
    const { plainTopics } = reader.limits;
    if (plain.length > plainTopics) {
      throw new Error(`expected at most ${plainTopics} plain topics, found ${plain.length}`);
    }
    this.#reader = reader;
    this.#plain = plainReaders(plain);
  }

  /** What to subscribe to, so that all of it comes in. */
  filters(): string[] {
    return ['wells/+/readings', ...this.#plain.map(({ filter }) => filter)];
  }

  /** The wells that a message on a topic is of; none where the topic is none of ours. */
  wells(topic: string): string[] {
    const wellId = READINGS.exec(topic)?.[1];
    if (wellId !== undefined) return [wellId];
    return this.#plain.filter(({ filter }) => takesTopic(filter, topic)).map((one) => one.wellId);
  }

  /** The packs of a message, null where the topic is none of ours. */
  packs(topic: string, payload: Uint8Array): Arrived[] | null {
    if (topic.length > this.#reader.limits.topicChars || NO_NAME.test(topic)) {
      this.#reader.counters.add('topic-not-ours');
      return null;
    }
    const wellId = READINGS.exec(topic)?.[1];
    if (wellId !== undefined) {
      if (!this.#reader.knows(wellId)) return null;
      const read = this.#reader.read(wellId, payload);
      return typeof read === 'string' ? [this.#reader.unread(wellId, read)] : read;
    }
    const plain = this.#plain.filter(({ filter }) => takesTopic(filter, topic));
    if (plain.length === 0) this.#reader.counters.add('topic-not-ours');
    return plain.length === 0 ? null : plain.map((one) => this.#single(one, topic, payload));
  }

  #single(plain: PlainReader, topic: string, payload: Uint8Array): Arrived {
    const { counters } = this.#reader;
    const reading = plain.read(payload);
    counters.add('wrong' in reading ? 'plain-refused' : 'plain-values');
    counters.add(`plain:${plain.filter}`);
    return this.#reader.single({ wellId: plain.wellId, device: topic }, reading);
  }
}

/** What a device is told of a pack that was not taken whole; null where it was. */
export function refusalOf(pack: Arrived): { topic: string; payload: string } | null {
  const { wellId, device, boot, seq, refused } = pack;
  if (refused.length === 0) return null;
  return {
    topic: `wells/${wellId}/refused`,
    payload: JSON.stringify({ device, boot, seq, refused }),
  };
}
