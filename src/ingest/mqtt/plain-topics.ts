import { leadingNumber } from '../../units/number.ts';
import { channelColumn } from '../file/header.ts';

/** A topic on which a device publishes one plain number. */
export interface PlainTopic {
  /** May hold `+` and `#`. */
  filter: string;
  wellId: string;
  channel: string;
  unit: string;
  /**
   * At the well [Pa]; taken off a number that is an absolute pressure. Asked for with each number:
   * the file of the well may be edited. NaN while it cannot be used: then no such number is taken.
   */
  readonly atmospherePa: number;
}

/** A topic of that kind, with what makes its number SI. */
export interface PlainReader extends PlainTopic {
  read(payload: Uint8Array): { channel: number; value: number } | { wrong: 'unreadable-value' };
}

const LONGEST_NUMBER = 64;
const UTF8 = new TextDecoder();

/** The topics with their units worked out; throws with every one that cannot be. */
export function plainReaders(topics: readonly PlainTopic[]): PlainReader[] {
  const problems: string[] = [];
  const readers = topics.flatMap((topic): PlainReader[] => {
    const problem = problemOf(topic.filter);
    const column = columnOf(topic);
    if (problem !== null) problems.push(`topic '${topic.filter}': ${problem}`);
    if ('wrong' in column) problems.push(`topic '${topic.filter}': ${column.says}`);
    if (problem !== null || 'wrong' in column) return [];
    return [{ ...topic, read: (payload) => siOf(payload, topic) }];
  });
  if (problems.length > 0) throw new Error(problems.join('\n'));
  return readers;
}

const columnOf = ({ channel, unit, atmospherePa }: PlainTopic) =>
  channelColumn(channel, unit, atmospherePa);

function siOf(payload: Uint8Array, topic: PlainTopic): ReturnType<PlainReader['read']> {
  if (payload.length > LONGEST_NUMBER) return { wrong: 'unreadable-value' };
  const number = leadingNumber(UTF8.decode(payload).trim());
  const column = columnOf(topic);
  if (number === null || number.rest !== '' || 'wrong' in column)
    return { wrong: 'unreadable-value' };
  const value = number.value * column.scale + column.offset;
  return Number.isNaN(value) ? { wrong: 'unreadable-value' } : { channel: column.channel, value };
}

/** MQTT 3.1.1 section 4.7.1; `wells/` is where packs and results are. */
function problemOf(filter: string): string | null {
  const levels = filter.split('/');
  const wild = levels.some((level, i) => {
    if (level === '#') return i < levels.length - 1;
    return level.length > 1 && /[#+]/.test(level);
  });
  if (filter === '' || wild) return `expected a topic or a topic filter, found '${filter}'`;
  if (/^[#+]/.test(levels[0]!) || levels[0]!.startsWith('$') || levels[0] === 'wells') {
    return "expected a first level other than '#', '+', '$…' and 'wells'";
  }
  return null;
}

/** Whether a topic filter takes a topic (MQTT 3.1.1 section 4.7). */
export function takesTopic(filter: string, topic: string): boolean {
  const wanted = filter.split('/');
  const found = topic.split('/');
  for (const [i, level] of wanted.entries()) {
    if (level === '#') return true;
    if (level !== '+' && level !== found[i]) return false;
    if (found[i] === undefined) return false;
  }
  return wanted.length === found.length;
}
